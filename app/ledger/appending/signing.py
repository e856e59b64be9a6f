"""Signing a day: a sign-off over the ledger's head as it was shown to the signer."""

import uuid
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.db import milliseconds
from app.kinds.permissions import Permission, may
from app.kinds.values import instant_text
from app.rules.day.shown import Assessment

from ..checks import order
from ..checks.callers import Caller
from ..form.drafts import Draft
from ..form.shape import FieldError
from ..form.typed import new_entry
from ..index.rows import ENTRY
from ..index.subjects import mentions
from ..reading import day_reading
from . import keeping
from .append import Result
from .context import AppendContext, locked

_NAMESPACE = uuid.UUID("6f1cbd0a-5d0e-4d5c-9f0b-0f6e3a1c7d52")
"""Of our own: ids of sign-offs are made from the place in the chain that they take."""


def sign(session: Session, site_code: str, day: date, *, by: Caller, at: datetime, shown: tuple[int, str]) -> Result:
    """Sign a business day over the head (seq, hash) that was shown; the caller commits.

    Refused, with nothing kept: somebody who may not sign or did not just give the password (`kind` forbidden), a
    head that this ledger never had or that entries touching the day have moved past (`day` order, head_moved), a day
    with something open (`day` order, not_ready, with `blocking`), a day that has not begun (`day` future). Raises
    ClockBehind.
    """
    context = locked(session, site_code, by=by, at=at)
    error = _refusal(context, day, shown)
    if error is not None:
        return Result(None, "rejected", None, (error,))
    draft = _draft(context, day, shown)
    keeping.keep(context, draft)
    context.flush()
    return Result(draft.entry.id, "accepted", draft.entry.seq)


def _refusal(context: AppendContext, day: date, shown: tuple[int, str]) -> FieldError | None:
    by = context.by
    if not by.signing or not may(by.role, Permission.SIGN_DAY, by.known_by):
        return FieldError("kind", "forbidden", {"value": "sign_off"})
    if day > context.day_of(context.at):
        return FieldError("day", "future", {})
    if not is_of_this_ledger(context, shown):
        return order.refusal("day", "head_moved")
    now = day_reading.assess_site_day(context.connection, context.site, day, as_of=context.at)
    if _touched_since(now, shown[0], context):
        return order.refusal("day", "head_moved")
    return None if now.ready_to_sign else order.refusal("day", "not_ready", blocking=now.blocking)


def is_of_this_ledger(context: AppendContext, shown: tuple[int, str]) -> bool:
    """Whether this ledger has, or is about to have, the head that was shown."""
    seq, own_hash = shown
    if seq == context.seq:
        return own_hash == context.hash
    query = select(ENTRY.hash).where(ENTRY.site_id == context.site.id, ENTRY.seq == seq)
    return context.connection.execute(query).scalar() == own_hash


def _touched_since(now: Assessment, seq: int, context: AppendContext) -> bool:
    """Whether the signer looked at something else than what would be signed."""
    if seq == context.seq:
        return False
    then = day_reading.assess_site_day(context.connection, context.site, now.day, as_of=context.at, through_seq=seq)
    return _content(then) != _content(now)


def _content(assessment: Assessment) -> tuple[object, ...]:
    """Give what a day shows: its entries, findings and their answers (sign-offs aside)."""
    entries = [entry.seq for entry in assessment.entries if not entry.IS_SIGNATURE]
    findings = [(f.key, f.verdict, f.status) for f in assessment.findings]
    cleared = [(item.finding.key, item.finding.status) for item in assessment.cleared]
    return entries, findings, cleared


def _draft(context: AppendContext, day: date, shown: tuple[int, str]) -> Draft:
    fields: dict[str, Any] = {
        "id": str(uuid.uuid5(_NAMESPACE, f"{context.site.code} {context.seq + 1} {context.hash}")),
        "kind": "sign_off",
        "observed_at": instant_text(context.at),
        "person": context.by.login,
        "day": day.isoformat(),
        "meaning": "reviewed",
        "signer_name": context.by.name,
        "covers_seq": shown[0],
        "covers_hash": shown[1],
        "as_of": instant_text(context.at),
    }
    entry = new_entry(fields, via=context.by.via)
    return Draft(fields, entry, milliseconds(context.at), mentions(entry))
