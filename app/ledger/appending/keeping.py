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
from .context import AppendContext, Known
from .writing import index_rows, reindex


def number(context: AppendContext, draft: Draft) -> None:
    """Give an entry its seq, and what the server says of it."""
    entry, seq = draft.entry, context.seq + 1
    offset_s, saved_at = None, context.at_ms
    if entry.entered_at is not None:
        entered_at = milliseconds(entry.entered_at)
        offset_s = _clock_offset_s(context, entered_at)
        saved_at = entered_at + int((offset_s or 0) * 1000)
    draft.entry = replace(
        entry,
        seq=seq,
        recorded_at=context.at,
        root_seq=seq if entry.amends is None else entry.root_seq,
        identified=context.by.identified,
        clock_offset_s=offset_s,
        late=entry.amends is None and saved_at > draft.at and saved_at - draft.at > context.late_after_ms,
    )


def _clock_offset_s(context: AppendContext, entered_at: int) -> Decimal | None:
    """Give what must be added to the tablet's clock: as the tablet's web page found it, or else, where the entry would
    have been saved after it arrived, at least the difference."""
    if context.by.clock_offset_s is not None:
        return Decimal(round(context.by.clock_offset_s * 100)) / 100
    ahead = entered_at - context.at_ms
    return Decimal(-round(ahead / 10)) / 100 if ahead > 0 else None


def keep(context: AppendContext, draft: Draft) -> None:
    """Number, link and insert an entry that passed all stages."""
    number(context, draft)
    body = _link(context, draft)
    entry = draft.entry
    context.known[entry.id] = Known(entry.seq, entry.root_seq, body)
    index_entry(context, draft, recorded_at=context.at_ms)


def _link(context: AppendContext, draft: Draft) -> dict[str, Any]:
    entry = draft.entry
    body = {
        **draft.fields,
        "v": 1,
        "site": context.site.code,
        "seq": entry.seq,
        "recorded_at": context.at_text,
        "via": context.by.via,
        "late": entry.late,
        "previous_hash": context.hash,
    }
    if entry.identified is not None:
        body["identified"] = entry.identified
    if entry.clock_offset_s is not None:
        body["clock_offset_s"] = read_number(entry.clock_offset_s)[0]
    content = chain.canonical(body)
    own_hash = chain.entry_hash(content)
    where = (context.site.id, entry.seq, entry.id, entry.kind, draft.at, context.at_ms, entry.person, entry.root_seq)
    context.pending.entries.append((*where, context.hash, own_hash, content))
    context.seq, context.hash = entry.seq, own_hash
    return body


def index_entry(context: AppendContext, draft: Draft, *, recorded_at: int) -> None:
    """Put an entry into the index and the spans; `recorded_at` in milliseconds."""
    if draft.entry.amends is None:
        _index_new(context, draft)
    else:
        _index_amendment(context, draft, recorded_at)


def _index_new(context: AppendContext, draft: Draft) -> None:
    entry = draft.entry
    context.pending.index += index_rows(context.site.id, entry, draft.named, at=draft.at)
    for mention in draft.named:
        if mention.role:
            state = context.states[mention.subject]
            if state.whole or mention.role in MOVING:
                state.add(Fact.of(mention, at=draft.at, root_seq=entry.root_seq, seq=entry.seq))
            if has_span(mention):
                _move_span(context, state, draft)


def _index_amendment(context: AppendContext, draft: Draft, recorded_at: int) -> None:
    """Let an amendment or withdrawal take the place of what it mends, for every subject that either names."""
    touched: list[Mention] = [mention for mention in (*draft.former[-1].named, *draft.named) if mention.role]
    context.states |= mending.mended(mending.Mending(draft, context.whole_states(touched)))
    moved = dict.fromkeys(mention.subject for mention in touched if has_span(mention))
    context.learn_spans(moved)
    for subject in moved:
        span = context.spans[subject]
        if span is not None:
            context.spans[subject] = spans.doubted(span, recorded_at=recorded_at)
        _move_span(context, context.states[subject], draft)
    context.flush()
    reindex(context.connection, context.site.id, draft.entry, at=draft.at, named=draft.named, former=draft.former)


def _move_span(context: AppendContext, state: State, draft: Draft) -> None:
    span = spans.moved(context.spans[state.subject], state, site_id=context.site.id, at=draft.at, seq=draft.entry.seq)
    context.spans[state.subject] = context.pending.spans[state.subject] = span
