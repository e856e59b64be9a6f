"""The fields that entries of every kind have in the exchange format, and the form of each kind by name."""

from collections.abc import Mapping
from types import MappingProxyType

from . import KINDS
from .fields import LINE, LINES, Choice, Flag, Id, Instant
from .form import Field, Fields, Form, form_of

FORMS: Mapping[str, Form] = MappingProxyType({name: form_of(cls) for name, cls in KINDS.items()})
"""The form of every kind that a client may know, in the order of a day."""

OF_EVERY_ENTRY: Fields = (
    Field("id", Id()),
    Field("kind", Choice(tuple(KINDS))),
    Field("observed_at", Instant()),
    Field("note", LINES, required=False),
)
OF_TABLETS: Fields = (Field("person", LINE, required=False), Field("entered_at", Instant(), required=False))
"""Whose entry it is, and when it was saved on the tablet: only a tablet's credential may say so."""

OF_AMENDMENTS: Fields = (Field("amends", Id()), Field("amend_reason", LINE))
OF_WITHDRAWALS: Fields = (*OF_AMENDMENTS, Field("withdrawn", Flag(only_true=True)))
"""A withdrawal has nothing else but `id`, `kind` and `observed_at`."""

SET_BY_SERVER = (
    *("v", "site", "seq", "recorded_at", "via", "identified", "clock_offset_s", "late", "previous_hash", "hash"),
)
"""What the server says of every entry."""
