"""Appending: a list of drafts goes in, each is accepted, known already, or rejected with all that is wrong with it."""

from collections.abc import Callable, Sequence
from datetime import datetime
from typing import NamedTuple

from app.db import Source
from app.kinds import Entry

from ..checks import stages
from ..checks.callers import Caller
from ..form.drafts import Draft, Unreadable, read_draft
from ..form.shape import FieldError
from ..reading.read import find_entry
from ..register import SiteRow
from . import keeping
from .context import AppendContext, locked, unlocked


class Result(NamedTuple):
    """What became of a draft: `status` is accepted, duplicate or rejected; `seq` where it stands in the ledger."""

    id: str | None
    status: str
    seq: int | None
    errors: tuple[FieldError, ...] = ()


def append(
    source: Source, site: str | SiteRow, drafts: Sequence[object], *, by: Caller, at: datetime, together: bool = False
) -> list[Result]:
    """Take in drafts in their order, each seeing those accepted before it; the caller commits.

    `site` is a code, or what `hold` gave. A draft is what a client sent, or what read_drafts made of it for the same
    caller: then others wait less.
    The session or connection must come from Database.writing() or appending(). `together`: all of them or none.
    Raises LookupError for no such site, and ClockBehind, with nothing kept.
    """
    context = locked(source, site, by=by, at=at)
    if not together:
        return _append(context, drafts)
    savepoint = context.connection.begin_nested()
    results = _append(context, drafts)
    if all(result.status != "rejected" for result in results):
        savepoint.commit()
        return results
    savepoint.rollback()
    return [_taken_back(result, head=context.first_seq) for result in results]


def _taken_back(result: Result, *, head: int) -> Result:
    """Give what became of a draft whose companions were rejected; what was kept before this list stays a duplicate."""
    if result.status == "rejected" or (result.status == "duplicate" and (result.seq or 0) <= head):
        return result
    return Result(result.id, "rejected", None, (FieldError("id", "together", {}),))


Preview = tuple[Entry | None, tuple[FieldError, ...]]
"""The entry that a draft would become (or became), or what stands against it."""


def preview(source: Source, site_code: str, draft: object, *, by: Caller, at: datetime) -> Preview:
    """Give what would become of a draft; nothing is kept. A tablet's caller need not have said whose it is.

    Raises ClockBehind where nothing could be kept.
    """
    context = unlocked(source, site_code, by=by, at=at)
    read = _read(context, draft, is_unnamed=True)
    context.look_up([read] if isinstance(read, Draft) else [])
    return _previewed(context, read, keeping.number)


def rehearse(source: Source, site_code: str, drafts: Sequence[object], *, by: Caller, at: datetime) -> list[Preview]:
    """Give what would become of drafts that belong together, each seeing those before it: as `append`, and taken back.

    The session or connection must come from Database.writing() or appending(). A tablet's caller need not have said
    whose they are. Raises as `append` does.
    """
    context = locked(source, site_code, by=by, at=at)
    savepoint = context.connection.begin_nested()
    read = [_read(context, draft, is_unnamed=True) for draft in drafts]
    context.look_up([draft for draft in read if isinstance(draft, Draft)])
    looked_at = [_previewed(context, draft, keeping.keep) for draft in read]
    savepoint.rollback()
    return looked_at


def _previewed(
    context: AppendContext, read: Draft | Unreadable, keep: Callable[[AppendContext, Draft], None]
) -> Preview:
    if isinstance(read, Unreadable):
        return None, read.errors
    known = context.known.get(read.entry.id)
    if known is not None:
        kept = find_entry(context.connection, context.site.code, known.id) if read.same_as(known.body) else None
        return kept, () if kept else (FieldError("id", "differs", {}),)
    errors = _stage_errors(context, read, stages.STAGES if read.entry.person else stages.UNNAMED)
    if errors:
        return None, tuple(errors)
    keep(context, read)
    return read.entry, ()


def _append(context: AppendContext, drafts: Sequence[object]) -> list[Result]:
    read = [_read(context, draft) for draft in drafts]
    context.look_up([draft for draft in read if isinstance(draft, Draft)])
    results = [_take(context, draft) for draft in read]
    context.flush()
    return results


def _read(context: AppendContext, draft: object, *, is_unnamed: bool = False) -> Draft | Unreadable:
    """Read a draft that was not read before, and end the first stage: is the altitude known that it needs?"""
    read = draft if isinstance(draft, Draft | Unreadable) else read_draft(draft, by=context.by, is_unnamed=is_unnamed)
    if not read.needs_altitude or context.site.altitude_cm is not None:
        return read
    missing = FieldError("pressure_hpa", "missing", {})
    return read.also(missing) if isinstance(read, Unreadable) else Unreadable(read.entry.id, (missing,))


def _take(context: AppendContext, draft: Draft | Unreadable) -> Result:
    if isinstance(draft, Unreadable):
        return Result(draft.id, "rejected", None, draft.errors)
    own_id = draft.entry.id
    known = context.known.get(own_id)
    if known is not None:
        if draft.same_as(known.body):
            return Result(own_id, "duplicate", known.seq)
        return Result(own_id, "rejected", None, (FieldError("id", "differs", {}),))
    errors = _stage_errors(context, draft, stages.STAGES)
    if errors:
        return Result(own_id, "rejected", None, tuple(errors))
    keeping.keep(context, draft)
    return Result(own_id, "accepted", draft.entry.seq)


def _stage_errors(context: AppendContext, draft: Draft, checks: Sequence[stages.Check]) -> list[FieldError]:
    """Give all errors of the first stage that fails."""
    for check in checks:
        errors = check(context, draft)
        if errors:
            return errors
    return []
