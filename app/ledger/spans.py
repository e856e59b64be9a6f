"""Spans: from when to when a load, tray, batch or reheat held birds, so that a day's page need not search history."""

from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import BigInteger, select, type_coerce
from sqlalchemy.orm import Session

from app import models

from .rows import chunks
from .states import State
from .writing import Span

_TABLE = models.SubjectSpan
_COLUMNS = (
    _TABLE.site_id,
    _TABLE.subject,
    type_coerce(_TABLE.opened_at, BigInteger),
    type_coerce(_TABLE.shown_until, BigInteger),
    type_coerce(_TABLE.mended_until, BigInteger),
    _TABLE.opened_seq,
    _TABLE.last_seq,
)


def read_spans(session: Session, site_id: int, subjects: Sequence[str]) -> dict[str, Span]:
    """Give the spans of these subjects, of those that have one."""
    rows = (
        row
        for portion in chunks(subjects)
        for row in session.execute(select(*_COLUMNS).where(_TABLE.site_id == site_id, _TABLE.subject.in_(portion)))
    )
    return {row[1]: Span(*row) for row in rows}


def moved(span: Span | None, state: State, *, site_id: int, at: int, seq: int) -> Span:
    """Give the span after an entry, seen at `at`, moved birds of the subject."""
    if span is None:
        return Span(site_id, state.subject, at, state.emptied_at(), None, seq, seq)
    opened_at = min(span.opened_at, at if state.opened_at is None else state.opened_at)
    return replace(span, opened_at=opened_at, shown_until=_later(state.emptied_at(), span.mended_until), last_seq=seq)


def doubted(span: Span, *, recorded_at: int) -> Span:
    """Give the span before a mending that was recorded at a moment: what was thought to hold birds until then (or until
    it was emptied) is shown until then, so that a finding which the mending clears is not lost from sight."""
    thought = recorded_at if span.shown_until is None else span.shown_until
    return replace(span, mended_until=max(thought, span.mended_until or thought))


def _later(emptied_at: int | None, mended_until: int | None) -> int | None:
    if emptied_at is None or mended_until is None:
        return emptied_at
    return max(emptied_at, mended_until)
