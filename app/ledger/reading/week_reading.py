"""Reading a week of business days: an assessment of each day, and what its verification looks at besides."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta

from sqlalchemy.orm import Session

from app.db import EPOCH
from app.kinds import ProbeCheck, Training, UnitCheck, WeekSignOff
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.day.shown import Assessment
from app.rules.facts import Equipment
from app.rules.figures.week import DAYS, LOOK_BACK, Week, WeekSigned, content, find_untrained, unit_week
from app.rules.subjects.probe_checks import CheckResult, judge_check

from .. import register
from ..index import rows
from ..register_entries import calendar_of_row
from . import day_reading
from .subject_history import checks_since

_ONE_DAY = timedelta(days=1)
_TICK = timedelta(milliseconds=1)
"""Histories end just before a moment; what was written at that very moment is wanted too."""
_UNITS = ("cold_unit", "hot_unit")


def week_days(
    session: Session, code: str, first: date, *, as_of: datetime, through_seq: int | None = None
) -> Iterator[Assessment]:
    """Assess the days of a week that have begun, one after the other."""
    row = register.get_site_row(session, code)
    calendar = calendar_of_row(session, row)
    for number in range(DAYS):
        day = first + _ONE_DAY * number
        if calendar.start_of(day) <= as_of:
            yield day_reading.assess_site_day(session, row, day, as_of=as_of, through_seq=through_seq)


def read_week(session: Session, code: str, first: date, *, as_of: datetime) -> Week:
    """Read a week, which begins with a Monday, as its records stand at `as_of`."""
    row = register.get_site_row(session, code)
    head = rows.head(session, row)
    calendar = calendar_of_row(session, row)
    days = tuple(week_days(session, code, first, as_of=as_of, through_seq=head.seq))
    starts_at, ends_at = calendar.start_of(first), calendar.start_of(first + _ONE_DAY * DAYS)
    until = min(ends_at, as_of + _TICK)
    probes = _codes(_in_use(calendar, "probe", since=starts_at, until=until))
    trainings = checks_since(session, code, Training, "kind:training", since=EPOCH, as_of=until)
    return Week(
        site=calendar.site_on(first),
        first=first,
        as_of=as_of,
        days=days,
        is_over=ends_at <= as_of,
        probes=_checks_of(session, code, calendar, probes, since=until - LOOK_BACK, until=until),
        units=tuple(
            unit_week(
                item,
                checks_since(session, code, UnitCheck, f"unit:{item.code}", since=until - LOOK_BACK, as_of=until),
                days,
                plan=calendar.plan_of(first),
                since=starts_at,
            )
            for item in _in_use(calendar, *_UNITS, since=starts_at, until=until)
        ),
        untrained=find_untrained(days, trainings, on=min(first + _ONE_DAY * (DAYS - 1), calendar.day_of(as_of))),
        signings=tuple(_signings(session, code, days, first, as_of=as_of, head=head.seq)),
        head=(head.seq, head.hash),
    )


def week_signatures(
    session: Session, code: str, weeks: Iterable[date], *, as_of: datetime
) -> dict[date, list[WeekSignOff]]:
    """Give the signatures of weeks, each by its Monday, in their order; a week without one is left out."""
    subjects = [f"week:{week.isoformat()}" for week in weeks]
    given: dict[date, list[WeekSignOff]] = {}
    found = checks_since(session, code, WeekSignOff, *subjects, since=EPOCH, as_of=as_of + _TICK)
    for entry in sorted(found, key=lambda entry: entry.seq):
        given.setdefault(entry.week, []).append(entry)
    return given


def is_changed_since(session: Session, code: str, days: tuple[Assessment, ...], seq: int, *, as_of: datetime) -> bool:
    """Whether days of one week showed something else in the ledger as it was up to an entry."""
    if not days:
        return False
    then = week_days(session, code, days[0].day, as_of=as_of, through_seq=seq)
    return any(content(now) != content(before) for now, before in zip(days, then, strict=True))


def _signings(
    session: Session, code: str, days: tuple[Assessment, ...], first: date, *, as_of: datetime, head: int
) -> Iterator[WeekSigned]:
    signatures = week_signatures(session, code, [first], as_of=as_of).get(first, [])
    for entry in signatures:
        is_newest = entry is signatures[-1]
        is_moved = is_newest and entry.covers_seq < head
        stale = is_moved and is_changed_since(session, code, days, entry.covers_seq, as_of=as_of)
        yield WeekSigned(entry=entry, stale=stale or not is_newest)


def _in_use(calendar: RegisterCalendar, *kinds: str, since: datetime, until: datetime) -> Iterator[Equipment]:
    for item in calendar.site.equipment.values():
        is_listed = (item.since is None or item.since < until) and (item.retired_at is None or item.retired_at > since)
        if item.kind in kinds and is_listed:
            yield item


def _codes(items: Iterable[Equipment]) -> list[str]:
    return [item.code for item in items]


def probe_checks(
    session: Session, code: str, *, since: datetime, until: datetime, only: str | None = None
) -> dict[str, list[CheckResult]]:
    """Give the checks of every probe that was in use between two moments (or of one), by its code, in order of time."""
    calendar = calendar_of_row(session, register.get_site_row(session, code))
    probes = _codes(_in_use(calendar, "probe", since=since, until=until))
    wanted = [probe for probe in probes if not only or probe == only]
    return _checks_of(session, code, calendar, wanted, since=since, until=until)


def _checks_of(
    session: Session, code: str, calendar: RegisterCalendar, probes: Iterable[str], *, since: datetime, until: datetime
) -> dict[str, list[CheckResult]]:
    checks = {
        probe: checks_since(session, code, ProbeCheck, f"check:{probe}", since=since, as_of=until) for probe in probes
    }
    return {
        probe: [judge_check(one, site=calendar.site, plan=calendar.plan_at(one.observed_at)) for one in of_probe]
        for probe, of_probe in checks.items()
    }
