"""The register in the ledger: what changes of people, equipment, plans, site and credentials are written down as."""

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from app.db import Source, milliseconds
from app.kinds import REGISTER_KINDS
from app.kinds.form import form_of
from app.kinds.values import instant_text

from .. import register
from ..checks.callers import Caller
from ..form.drafts import Draft
from ..form.typed import new_entry
from ..index import rows
from ..index.subjects import mentions
from . import keeping
from .context import AppendContext, locked
from .moments import is_behind

_NAMESPACE = uuid.UUID("2c9b7e52-7d0d-4d0a-8a5e-6b0f6f7a9c11")
"""Of our own: ids of the register's entries are made from the place in the chain that they take."""


@dataclass(frozen=True, slots=True)
class Author:
    """Who changes the register, and by what: `via` is session or command; a command may ask for no login."""

    via: str
    login: str | None = None


COMMAND = Author("command")


@dataclass(frozen=True, slots=True)
class Change:
    """A kind of the register and its fields, those that are None left out."""

    kind: str
    fields: Mapping[str, Any]


def moment_of_append(source: Source, site_code: str, at: datetime) -> datetime:
    """Hold the site's lock and give the moment that what is written now is recorded at.

    Raises LookupError for no such site, and ClockBehind.
    """
    return locked(source, site_code, by=_caller(COMMAND), at=at).at


def append_changes(source: Source, site_code: str, changes: Sequence[Change], *, by: Author, at: datetime) -> datetime:
    """Write changes of the register down, under the site's lock; the caller changes the tables and commits.

    Gives the moment at which they are recorded. Raises LookupError for no such site, and ClockBehind.
    """
    context = locked(source, site_code, by=_caller(by), at=at)
    _keep(context, changes, by)
    return context.at


def accept_clock(source: Source, site_code: str, *, reason: str, by: Author, at: datetime) -> bool:
    """Write down that the server's clock says `at` though newer entries are there: from here on entries follow it.

    False, with nothing written, where the clock is not behind. Raises LookupError for no such site.
    """
    site = register.get_site_row(source, site_code, lock=True)
    head = rows.head(source, site)
    if not is_behind(at, head.recorded_at):
        return False
    change = Change("clock_set", {"was": head.recorded_at, "is": at, "reason": reason})
    _keep(AppendContext(source, site, head, by=_caller(by), at=at), [change], by)
    return True


def _caller(by: Author) -> Caller:
    return Caller(login=by.login or "", name="", role="", via=by.via)


def _keep(context: AppendContext, changes: Sequence[Change], by: Author) -> None:
    for change in changes:
        keeping.keep(context, _draft(context, change, by))
    context.flush()


def _draft(context: AppendContext, change: Change, by: Author) -> Draft:
    fields: dict[str, Any] = {
        "id": str(uuid.uuid5(_NAMESPACE, f"{context.site.code} {context.seq + 1} {context.hash}")),
        "kind": change.kind,
        "observed_at": instant_text(context.at),
        **_hashed(change),
    }
    if by.login:
        fields["person"] = by.login
    entry = new_entry(fields, via=by.via)
    return Draft(fields, entry, milliseconds(context.at), mentions(entry))


def _hashed(change: Change) -> dict[str, Any]:
    """Give a change's fields as they are hashed. Raises BadValue for what its kind does not take."""
    types = {field.name: field.type for field in form_of(REGISTER_KINDS[change.kind]).fields}
    return {
        name: types[name].read(instant_text(value) if isinstance(value, datetime) else value)
        for name, value in change.fields.items()
        if value is not None
    }
