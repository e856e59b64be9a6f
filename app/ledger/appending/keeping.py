"""Keeping an entry that passed all stages: its number, its link in the chain, its place in the index and the spans."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from app.db import milliseconds
from app.kinds.values import read_number

from ..checks import mending
from ..checks.states import Fact, State
from ..form import chain
from ..form.drafts import Draft
from ..index import spans
from ..index.subjects import MOVING, Mention, has_span
from .context import Desk, Known
from .writing import index_rows, reindex


def number(desk: Desk, draft: Draft) -> None:
    """Give an entry its seq, and what the server says of it."""
    entry, seq = draft.entry, desk.seq + 1
    offset_s, saved_at = None, desk.at_ms
    if entry.entered_at is not None:
        entered_at = milliseconds(entry.entered_at)
        offset_s = _clock_offset_s(desk, entered_at)
        saved_at = entered_at + int((offset_s or 0) * 1000)
    draft.entry = replace(
        entry,
        seq=seq,
        recorded_at=desk.at,
        root_seq=seq if entry.amends is None else entry.root_seq,
        clock_offset_s=offset_s,
        late=entry.amends is None and saved_at - draft.at > desk.late_after_ms,
    )


def _clock_offset_s(desk: Desk, entered_at: int) -> Decimal | None:
    """Give what must be added to the tablet's clock: as the tablet's web page found it, or else, where the entry would
    have been saved after it arrived, at least the difference."""
    if desk.by.clock_offset_s is not None:
        return Decimal(round(desk.by.clock_offset_s * 100)) / 100
    ahead = entered_at - desk.at_ms
    return Decimal(-round(ahead / 10)) / 100 if ahead > 0 else None


def keep(desk: Desk, draft: Draft) -> None:
    """Number, link and put down an entry that passed all stages."""
    number(desk, draft)
    body = _link(desk, draft)
    entry = draft.entry
    desk.known[entry.id] = Known(entry.seq, entry.root_seq, body)
    book(desk, draft, recorded_at=desk.at_ms)


def _link(desk: Desk, draft: Draft) -> dict[str, Any]:
    entry = draft.entry
    body = {
        **draft.fields,
        "v": 1,
        "site": desk.site.code,
        "seq": entry.seq,
        "recorded_at": desk.at_text,
        "via": desk.by.via,
        "late": entry.late,
        "previous_hash": desk.hash,
    }
    if entry.clock_offset_s is not None:
        body["clock_offset_s"] = read_number(entry.clock_offset_s)[0]
    content = chain.canonical(body)
    own_hash = chain.entry_hash(content)
    where = (desk.site.id, entry.seq, entry.id, entry.kind, draft.at, desk.at_ms, entry.person, entry.root_seq)
    desk.pending.entries.append((*where, desk.hash, own_hash, content))
    desk.seq, desk.hash = entry.seq, own_hash
    return body


def book(desk: Desk, draft: Draft, *, recorded_at: int) -> None:
    """Put an entry into the index and the spans; `recorded_at` in milliseconds."""
    if draft.entry.amends is None:
        _put_down(desk, draft)
    else:
        _put_in_place(desk, draft, recorded_at)


def _put_down(desk: Desk, draft: Draft) -> None:
    entry = draft.entry
    desk.pending.index += index_rows(desk.site.id, entry, draft.named, at=draft.at)
    for mention in draft.named:
        if mention.role:
            state = desk.states[mention.subject]
            if state.whole or mention.role in MOVING:
                state.add(Fact.of(mention, at=draft.at, root_seq=entry.root_seq, seq=entry.seq))
            if has_span(mention):
                _move_span(desk, state, draft)


def _put_in_place(desk: Desk, draft: Draft, recorded_at: int) -> None:
    """Let an amendment or withdrawal take the place of what it mends, for every subject that either names."""
    touched: list[Mention] = [mention for mention in (*draft.former[-1].named, *draft.named) if mention.role]
    desk.states |= mending.mended(mending.Mending(draft, desk.whole_states(touched)))
    moved = dict.fromkeys(mention.subject for mention in touched if has_span(mention))
    desk.learn_spans(moved)
    for subject in moved:
        span = desk.spans[subject]
        if span is not None:
            desk.spans[subject] = spans.doubted(span, recorded_at=recorded_at)
        _move_span(desk, desk.states[subject], draft)
    desk.flush()
    reindex(desk.connection, desk.site.id, draft.entry, at=draft.at, named=draft.named, former=draft.former)


def _move_span(desk: Desk, state: State, draft: Draft) -> None:
    span = spans.moved(desk.spans[state.subject], state, site_id=desk.site.id, at=draft.at, seq=draft.entry.seq)
    desk.spans[state.subject] = desk.pending.spans[state.subject] = span
