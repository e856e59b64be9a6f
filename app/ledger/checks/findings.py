"""Is a finding's key known? An action or verification names findings, and only such as there are."""

from collections.abc import Iterable
from datetime import date, datetime, timedelta
from itertools import islice

from app.db import EPOCH
from app.rules.facts import Finding
from app.rules.meaning.cooling import days_kept

from ..appending.context import AppendContext
from ..index import rows
from ..index.subjects import HOLDERS, Key, read_key
from ..reading import day_reading

_ONE_DAY = timedelta(days=1)
_MOST_DAYS = 40
"""How many days are looked at for one key: no food is kept for longer."""


def is_known(context: AppendContext, text: str, *, at: datetime) -> bool:
    """Whether some day has such a finding, or had it before a mending, as the ledger stands; `at` is when the answer
    was seen, which the tablet's clock may put a little ahead of now."""
    key = read_key(text)
    if key is None:
        return False
    as_of = max(at, context.at)
    found = (_has(context, key, text, day, as_of) for day in islice(_days(context, key, as_of), _MOST_DAYS))
    return any(found)


def _has(context: AppendContext, key: Key, text: str, day: date, as_of: datetime) -> bool:
    asked = (day, context.seq, as_of)
    assessment = context.assessed.get(asked)
    if assessment is None:
        context.flush()
        assessment = day_reading.assess_site_day(context.connection, context.site, day, as_of=as_of)
        context.assessed[asked] = assessment
    findings = (*assessment.findings, *(item.finding for item in assessment.cleared))
    return any(_is_meant(finding, key, text) for finding in findings)


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
