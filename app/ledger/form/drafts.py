"""A draft on its way into the ledger: what a client sent, in its form, as an entry that is not yet numbered."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from app.db import milliseconds
from app.kinds import Entry
from app.kinds.every_entry import SET_BY_SERVER

from ..checks.callers import Caller
from ..index.subjects import Mention, mentions
from . import shape
from .shape import FieldError
from .typed import new_entry


@dataclass(slots=True, eq=False)
class Draft:
    """A draft that has the form of its kind."""

    fields: dict[str, Any]
    """The client's fields as they are hashed, and the person."""
    entry: Entry
    """As the rules see it, numbered 0 so far."""
    at: int
    """When it was seen, in milliseconds."""
    named: Sequence[Mention]
    needs_altitude: bool = False
    former: Sequence["Former"] = field(default=())
    """The versions that it mends, oldest first."""

    def same_as(self, body: Mapping[str, Any]) -> bool:
        """Whether a kept entry has the same content: the client's fields, normalised, and the person if one is said."""
        said = {name: value for name, value in body.items() if name not in SET_BY_SERVER}
        return self.fields == (said if self.entry.person else said | {"person": ""})


@dataclass(frozen=True, slots=True)
class Former:
    """A version of an entry that is mended: its seq, when it was seen (milliseconds), what it names."""

    seq: int
    at: int
    named: Sequence[Mention]

    @classmethod
    def of(cls, entry: Entry) -> "Former":
        """Give what the index has to know of a kept version."""
        return cls(entry.seq, milliseconds(entry.observed_at), mentions(entry))


@dataclass(frozen=True, slots=True)
class Unreadable:
    """A draft that has not the form of its kind: what is wrong, and its id so far as it has one."""

    id: str | None
    errors: tuple[FieldError, ...]
    needs_altitude: bool = False

    def also(self, error: FieldError) -> "Unreadable":
        """Give the same with one error more."""
        return Unreadable(self.id, (*self.errors, error))


def read_drafts(drafts: Iterable[object], *, by: Caller) -> list[Draft | Unreadable]:
    """Read what a client sent, before the ledger is locked: what form a draft has, nobody else's entry can change."""
    return [read_draft(draft, by=by) for draft in drafts]


def read_draft(draft: object, *, by: Caller, is_unnamed: bool = False) -> Draft | Unreadable:
    """Read what a client sent: the first stage of checking, but for the altitude of the site.

    `is_unnamed`: it is only looked at, and nobody has to have said yet whose it is.
    """
    shaped = shape.check(draft)
    fields, errors = shaped.fields, shaped.errors
    if "person" not in fields:
        fields["person"] = by.login
        is_missed = not (by.login or is_unnamed)
        if is_missed and not any(error.field in ("", "person") or error.code == "forbidden" for error in errors):
            errors = (*errors, FieldError("person", "missing", {}))
    if errors:
        return Unreadable(shaped.id or _sent_id(draft), errors, shaped.needs_altitude)
    entry = new_entry(fields, via=by.via)
    return Draft(fields, entry, milliseconds(entry.observed_at), mentions(entry), shaped.needs_altitude)


def _sent_id(draft: object) -> str | None:
    """Give an id that is no UUID as it was sent, so that a client finds its draft again."""
    sent = draft.get("id") if isinstance(draft, dict) else None
    return sent if isinstance(sent, str) and sent.isascii() and len(sent) <= 100 else None
