"""Signing a week: a sign-off over the ledger's head as it was shown to whoever verified the week's records."""

from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.kinds.fields import LINES
from app.kinds.values import BadValue
from app.rules.figures.week import DAYS, monday_of

from ..checks import order
from ..checks.callers import Caller
from ..form.shape import FieldError
from ..reading import week_reading
from .append import Result
from .context import AppendContext, locked
from .sign_offs import is_of_this_ledger, keep_sign_off, who_may_not


def sign_week(
    session: Session,
    site_code: str,
    week: date,
    *,
    by: Caller,
    at: datetime,
    shown: tuple[int, str],
    note: str | None = None,
) -> Result:
    """Sign the week that begins with a Monday over the head (seq, hash) that was shown; the caller commits.

    Refused, with nothing kept: somebody who may not sign or did not just give the password (`kind` forbidden), a day
    that is no Monday (`week` range), a week that is not over or without entries, a head that this ledger never had or
    that entries of the week have moved past (`week` order: week_not_over, week_empty, week_moved). Raises ClockBehind.
    """
    context = locked(session, site_code, by=by, at=at)
    error = _refusal(context, session, week, shown)
    try:
        remark = LINES.read(note or "")
    except BadValue as bad:
        error = error or FieldError("note", bad.code, bad.values)
    if error is not None:
        return Result(None, "rejected", None, (error,))
    own = {"week": week.isoformat(), "meaning": "verified"} | ({"note": remark} if remark else {})
    return keep_sign_off(context, "week_sign_off", shown, **own)


def _refusal(context: AppendContext, session: Session, week: date, shown: tuple[int, str]) -> FieldError | None:
    code = context.site.code
    if error := who_may_not(context, "week_sign_off"):
        return error
    if monday_of(week) != week:
        return FieldError("week", "range", {"expected": monday_of(week).isoformat()})
    if context.day_of(context.at) < week + timedelta(days=DAYS):
        return order.refusal("week", "week_not_over")
    days = tuple(week_reading.week_days(session, code, week, as_of=context.at))
    if not any(day.entries for day in days):
        return order.refusal("week", "week_empty")
    is_moved = shown[0] != context.seq and week_reading.is_changed_since(
        session, code, days, shown[0], as_of=context.at
    )
    return order.refusal("week", "week_moved") if is_moved or not is_of_this_ledger(context, shown) else None
