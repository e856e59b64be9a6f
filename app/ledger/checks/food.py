"""What is said of food that was set aside: may it be released, and is it really out already?"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from app.kinds import CorrectiveAction, Entry, Release
from app.rules.day.food_views import is_still_held

from ..appending.context import AppendContext
from ..form import shape
from ..form.shape import FieldError
from . import findings, order


def check(context: AppendContext, entry: Entry) -> list[FieldError]:
    """Refuse a release of what cannot be released, and food said to be out already while some of it is here."""
    if isinstance(entry, Release):
        return list(_check_release(context, entry))[:1]
    if isinstance(entry, CorrectiveAction) and entry.disposition == "already_out":
        return list(_check_out(context, entry))[:1]
    return []


def _check_release(context: AppendContext, entry: Release) -> Iterable[FieldError]:
    as_of = _moment(context, entry)
    for key in entry.findings:
        found = findings.find(context, key, as_of=as_of)
        if found is None or not found.stands:
            yield order.refusal("findings", "not_standing", value=shape.echo(key))
        elif not found.finding.may_be_released:
            yield order.refusal("findings", "not_releasable", value=shape.echo(key))


def _moment(context: AppendContext, entry: Release) -> datetime:
    """When a release lets go: when it was seen; one that is written late, when it is written."""
    is_late = context.at - entry.observed_at > timedelta(milliseconds=context.late_after_ms)
    return context.at if is_late else entry.observed_at


def _check_out(context: AppendContext, entry: CorrectiveAction) -> Iterable[FieldError]:
    as_of = max(entry.observed_at, context.at)
    for key in entry.findings:
        found = findings.find(context, key, as_of=as_of)
        if found is not None and is_still_held(found.assessment, found.finding, entry.observed_at):
            yield order.refusal("disposition", "still_here", value=shape.echo(key))
