"""Is a finding's key known? An action or verification names findings, and only such as there are."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime, timedelta
from itertools import islice
from typing import NamedTuple

from app.db import EPOCH, Source
from app.rules.day.shown import Assessment
from app.rules.facts import Finding
from app.rules.meaning.cooling import days_kept

from .. import register
from ..appending.context import AppendContext
from ..index import rows
from ..index.subjects import HOLDERS, Key, read_key
from ..reading import day_reading
from .callers import Caller

_ONE_DAY = timedelta(days=1)
_MOST_DAYS = 40
"""How many days are looked at for one key: no food is kept for longer."""


class Found(NamedTuple):
    """A finding that a key names, with the day it stands in; `stands` is false for one that a mending made go away."""

    finding: Finding
    stands: bool
    assessment: Assessment


def is_known(context: AppendContext, text: str, *, at: datetime) -> bool:
    """Whether some day has such a finding, or had it before a mending, as the ledger stands; `at` is when the answer
    was seen, which the tablet's clock may put a little ahead of now."""
    return find(context, text, as_of=max(at, context.at)) is not None


def has_opener(context: AppendContext, text: str) -> bool:
    """Whether the entry (or the day) that a key names is there."""
    key = read_key(text)
    if key is None:
        return False
    try:
        return bool(date.fromisoformat(key.opener))
    except ValueError:
        context.flush()
        return bool(rows.by_ids(context.connection, context.site.id, [key.opener]))


def find(context: AppendContext, text: str, *, as_of: datetime) -> Found | None:
    """Give the finding that a key names, as the ledger stands and a moment shows it."""
    key = read_key(text)
    if key is None:
        return None
    days = islice(_days(context, key, as_of), _MOST_DAYS)
    return next((found for day in days for found in _in_day(key, text, _assessed(context, day, as_of))), None)


def find_findings(
    source: Source, site_code: str, keys: Sequence[str], *, by: Caller, at: datetime
) -> list[Found | None]:
    """Give the finding that each key names, as the ledger stands at a moment; None for what is not there. To read."""
    site = register.get_site_row(source, site_code)
    context = AppendContext(source, site, rows.head(source, site), by=by, at=at)
    return [find(context, key, as_of=at) for key in keys]


def _assessed(context: AppendContext, day: date, as_of: datetime) -> Assessment:
    asked = (day, context.seq, as_of)
    assessment = context.assessed.get(asked)
    if assessment is None:
        context.flush()
        assessment = day_reading.assess_site_day(context.connection, context.site, day, as_of=as_of)
        context.assessed[asked] = assessment
    return assessment


def _in_day(key: Key, text: str, assessment: Assessment) -> Iterable[Found]:
    findings = [(finding, True) for finding in assessment.findings]
    findings += [(item.finding, False) for item in assessment.cleared]
    return (Found(one, stands, assessment) for one, stands in findings if _is_meant(one, key, text))


def _is_meant(finding: Finding, key: Key, text: str) -> bool:
    if finding.key == text:
        return True
    same = finding.rule == key.rule and finding.subject.kind == key.kind and finding.subject.label == key.label
    return same and key.opener in finding.entries


def _days(context: AppendContext, key: Key, as_of: datetime) -> Iterable[date]:
    """Give the business days that may tell of it, the likeliest first, none after today."""
    today = context.day_of(as_of)
    return (day for day in dict.fromkeys(_candidates(context, key)) if EPOCH.date() <= day <= today)


def _candidates(context: AppendContext, key: Key) -> Iterable[date]:
    try:
        yield date.fromisoformat(key.opener)
        return
    except ValueError:
        pass
    context.flush()
    opener = rows.by_ids(context.connection, context.site.id, [key.opener])
    if not opener:
        return
    moments = rows.moments_of(context.connection, context.site.id, opener[0].root_seq)
    first = list(_around(context, moments))
    yield from first
    if key.kind in HOLDERS or key.kind == "spit":
        # What was opened then may come due later: once its date mark has passed (which counts from the cooking, however
        # long before), or on the days of its other entries.
        if key.rule == "date_mark.passed":
            shelf_life = days_kept(context.plan_at(moments[0]))
            yield from (first[0] + timedelta(days=number) for number in range(shelf_life + 1, 0, -1))
        yield from _around(context, rows.moments_about(context.connection, context.site.id, key.subject))


def _around(context: AppendContext, moments: Iterable[datetime]) -> Iterable[date]:
    for at in moments:
        day = context.day_of(at)
        yield day
        yield day + _ONE_DAY
