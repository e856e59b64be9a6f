"""Spans: from when to when a load, tray, batch or reheat held birds, so that a day's page need not search history."""

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from sqlalchemy import Table, bindparam, select

from app import models
from app.db import Prepared, Source, among

from ..appending.writing import Span
from ..checks.states import State

_SPAN = cast(Table, models.SubjectSpan.__table__).c
_FIND = Prepared(
    select(*_SPAN.values()).where(_SPAN.site_id == bindparam("site_id"), among(_SPAN.subject)),
)


def read_spans(source: Source, site_id: int, subjects: Sequence[str]) -> dict[str, Span]:
    """Give the spans of these subjects, of those that have one."""
    return {row[1]: Span(*row) for row in _FIND.run_among(source, subjects, site_id=site_id)}


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
