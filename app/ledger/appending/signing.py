"""Signing a day: a sign-off over the ledger's head as it was shown to the signer."""

from datetime import date, datetime

from sqlalchemy.orm import Session

from app.rules.day.shown import Assessment

from ..checks import order
from ..checks.callers import Caller
from ..form.shape import FieldError
from ..reading import day_reading
from .append import Result
from .context import AppendContext, locked
from .sign_offs import is_of_this_ledger, keep_sign_off, who_may_not


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
    return keep_sign_off(context, "sign_off", shown, day=day.isoformat(), meaning="reviewed")


def _refusal(context: AppendContext, day: date, shown: tuple[int, str]) -> FieldError | None:
    if error := who_may_not(context, "sign_off"):
        return error
    if day > context.day_of(context.at):
        return FieldError("day", "future", {})
    if not is_of_this_ledger(context, shown):
        return order.refusal("day", "head_moved")
    now = day_reading.assess_site_day(context.connection, context.site, day, as_of=context.at)
    if _touched_since(now, shown[0], context):
        return order.refusal("day", "head_moved")
    return None if now.ready_to_sign else order.refusal("day", "not_ready", blocking=now.blocking)


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
