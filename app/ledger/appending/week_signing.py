"""Signing a week: a sign-off over the ledger's head as it was shown to whoever verified the week's records."""

import uuid
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy.orm import Session

from app.db import milliseconds
from app.kinds.fields import LINES
from app.kinds.permissions import Permission, may
from app.kinds.values import BadValue, instant_text
from app.rules.figures.week import DAYS, monday_of

from ..checks import order
from ..checks.callers import Caller
from ..form.drafts import Draft
from ..form.shape import FieldError
from ..form.typed import new_entry
from ..index.subjects import mentions
from ..reading import week_reading
from . import keeping
from .append import Result
from .context import AppendContext, locked
from .signing import is_of_this_ledger

_NAMESPACE = uuid.UUID("0f0f6f0e-6d2c-4c1e-9a67-6a1f3c1a7b94")
"""Of our own: ids of week sign-offs are made from the place in the chain that they take."""


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
    draft = _draft(context, week, shown, remark)
    keeping.keep(context, draft)
    context.flush()
    return Result(draft.entry.id, "accepted", draft.entry.seq)


def _refusal(context: AppendContext, session: Session, week: date, shown: tuple[int, str]) -> FieldError | None:
    by, code = context.by, context.site.code
    if not by.signing or not may(by.role, Permission.SIGN_DAY, by.known_by):
        return FieldError("kind", "forbidden", {"value": "week_sign_off"})
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


def _draft(context: AppendContext, week: date, shown: tuple[int, str], note: str | None) -> Draft:
    fields: dict[str, Any] = {
        "id": str(uuid.uuid5(_NAMESPACE, f"{context.site.code} {context.seq + 1} {context.hash}")),
        "kind": "week_sign_off",
        "observed_at": instant_text(context.at),
        "person": context.by.login,
        **({"note": note} if note else {}),
        "week": week.isoformat(),
        "meaning": "verified",
        "signer_name": context.by.name,
        "covers_seq": shown[0],
        "covers_hash": shown[1],
        "as_of": instant_text(context.at),
    }
    entry = new_entry(fields, via=context.by.via)
    return Draft(fields, entry, milliseconds(context.at), mentions(entry))
