"""A week of business days, Monday to Sunday, as whoever verifies its records looks at it.

Nothing is decided here: findings, answers and signatures are those of each day's assessment, a unit's reading is within
its limit where its meaning says so. What verification looks at: 9 CFR 417.4(a)(2): calibration of the instruments,
direct observation of monitoring and corrective actions, and the review of records.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import groupby

from app.kinds import Training, UnitCheck, WeekSignOff, WorkObserved

from ..day.food_shown import Food
from ..day.food_views import food_by_now
from ..day.shown import Assessment
from ..facts import Equipment, Finding, Person, Site, Verdict
from ..history.versions import effective
from ..meaning.storage import is_within
from ..plans.plan import Plan
from ..scales import in_fahrenheit
from ..subjects.probe_checks import CheckResult
from .control_chart import chart_points
from .day_figures import MISSED_AT_AN_HOUR, MISSED_IN_A_DAY

DAYS = 7
MISSED = (*MISSED_AT_AN_HOUR, MISSED_IN_A_DAY, "start.checks", "checklist.done")
"""Rules that tell of a check that nobody wrote down, where they are not shown."""
LOOK_BACK = timedelta(days=60)
"""How far back the checks of a unit or a probe are looked at to tell what is usual for it."""
_FEWEST = 2


def monday_of(day: date) -> date:
    """Give the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekSigned:
    """A signature under a week; `stale` when what it was given for reads otherwise now."""

    entry: WeekSignOff
    stale: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitWeek:
    """A cold or hot-holding unit in a week."""

    code: str
    kind: str
    checks: int
    outside: int
    """Checks of its air or of food in it that were not within its limit."""
    unusual: int | None
    """Checks that were not in control, over two months; None where there were too few to tell what is usual."""
    held: int = 0
    """Hot-hold readings of trays in it."""
    low: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Untrained:
    """Somebody who worked in the week without a training that held at its end; `until` is when the last one ran out."""

    person: Person
    until: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """What the records of a week show. `days` are those that have begun."""

    site: Site
    first: date
    as_of: datetime
    days: tuple[Assessment, ...]
    is_over: bool
    probes: Mapping[str, Sequence[CheckResult]]
    """Every probe in use with its checks of the two months until the week's end."""
    units: tuple[UnitWeek, ...]
    untrained: tuple[Untrained, ...]
    signings: tuple[WeekSigned, ...]
    head: tuple[int, str]

    @property
    def last(self) -> date:
        """Its Sunday."""
        return self.first + timedelta(days=DAYS - 1)

    @property
    def starts_at(self) -> datetime:
        """When its first day began."""
        return self.days[0].starts_at if self.days else self.as_of

    @property
    def signed(self) -> WeekSigned | None:
        """The newest signature."""
        return self.signings[-1] if self.signings else None

    @property
    def is_empty(self) -> bool:
        """Whether nothing is recorded of it."""
        return not any(day.entries for day in self.days)

    @property
    def readings(self) -> int:
        """Critical readings."""
        return sum(day.late.readings for day in self.days)

    @property
    def late(self) -> int:
        """How many of them were written late."""
        return sum(day.late.late for day in self.days)

    @property
    def missed(self) -> list[tuple[Assessment, Finding]]:
        """The checks that nobody wrote down."""
        return [
            (day, one)
            for day in self.days
            for one in day.findings
            if one.rule in MISSED and one.verdict is Verdict.NOT_SHOWN
        ]

    @property
    def set_aside(self) -> list[tuple[Assessment, Finding, Food]]:
        """What set food aside, with where that food is or went; also what a mending made go away."""
        return [(day, one, food_by_now(day, one)) for day in self.days for one in _all(day) if one.key in day.food]

    @property
    def sent_back(self) -> list[tuple[Assessment, Finding]]:
        """The findings whose corrective action came back."""
        return [(day, one) for day in self.days for one in _all(day) if _came_back(day, one)]

    @property
    def observed(self) -> list[WorkObserved]:
        """The work that was watched."""
        return [entry for day in self.days for entry in _of_day(day) if isinstance(entry, WorkObserved)]


def _all(day: Assessment) -> Iterator[Finding]:
    yield from day.findings
    yield from (one.finding for one in day.cleared)


def _came_back(day: Assessment, finding: Finding) -> bool:
    given = day.answers.get(finding.key)
    return given is not None and any(one.outcome == "sent_back" for one in given.verifications)


def _of_day(day: Assessment) -> Iterator[object]:
    counted = effective(day.entries, as_of=day.as_of)
    return (entry for entry in counted if _in(day, entry.observed_at))


def content(day: Assessment) -> tuple[object, ...]:
    """Give what a week shows of a day: the week's signature is stale once it is another."""
    roots = {entry.root for entry in day.entries if _in(day, entry.observed_at)}
    entries = [entry.seq for entry in day.entries if entry.root in roots and not entry.IS_SIGNATURE]
    findings = [(one.key, one.verdict, one.status) for one in _all(day)]
    food = [_ended(food_by_now(day, one)) for one in _all(day) if one.key in day.food]
    return entries, findings, food, [(one.seq, one.stale) for one in day.signings]


def _ended(food: Food) -> tuple[object, ...]:
    """Give what became of food, to be compared: of releases their numbers, for an entry is equal to itself alone."""
    return food.here, food.gone, food.made_good, [entry.seq for entry in food.released]


def unit_week(
    unit: Equipment, checks: Sequence[UnitCheck], days: Sequence[Assessment], *, plan: Plan, since: datetime
) -> UnitWeek:
    """Say how a unit was in a week; `checks` are those of the two months before its end, in order of time."""
    series = one_series(checks)
    in_week = [check for check in checks if check.observed_at >= since]
    held = [one for day in days for tray in day.trays for one in tray.held if one.hot_unit == unit.code]
    held = [one for one in held if one.entry.observed_at >= since]
    held = list({one.entry.root: one for one in held}.values())
    return UnitWeek(
        code=unit.code,
        kind=unit.kind,
        checks=len(in_week),
        outside=sum(not is_within(unit.kind, plan, check.reading) for check in in_week),
        unusual=_unusual(unit, series, plan, since),
        held=len(held),
        low=sum(one.is_low for one in held),
    )


def one_series(checks: Sequence[UnitCheck]) -> list[UnitCheck]:
    """Give the checks of what was read most often, air or food: the two are not one series."""
    of_air = [check for check in checks if check.of == "air"]
    of_food = [check for check in checks if check.of == "food"]
    return of_air if len(of_air) >= len(of_food) else of_food


def _unusual(unit: Equipment, series: Sequence[UnitCheck], plan: Plan, since: datetime) -> int | None:
    if len(series) < _FEWEST:
        return None
    within = [is_within(unit.kind, plan, check.reading) for check in series]
    points = chart_points([float(in_fahrenheit(check.reading)) for check in series], within_limit=within)
    charted = zip(series, points, strict=True)
    return sum(not point.in_control for check, point in charted if check.observed_at >= since)


def find_untrained(days: Sequence[Assessment], trainings: Iterable[Training], *, on: date) -> tuple[Untrained, ...]:
    """Give who did the work of these days without a training that held on a day, by sign-in name."""
    people = days[-1].site.people if days else {}
    worked = {entry.person for day in days for entry in day.entries if entry.IS_WORK and _in(day, entry.observed_at)}
    by_person = {
        login: list(of) for login, of in groupby(sorted(trainings, key=lambda one: one.whom), key=lambda one: one.whom)
    }
    lacking = []
    for login in sorted(worked & people.keys()):
        had = by_person.get(login, [])
        if not any(one.until is None or one.until >= on for one in had):
            ran_out = max((one.until for one in had if one.until), default=None)
            lacking.append(Untrained(person=people[login], until=ran_out))
    return tuple(lacking)


def _in(day: Assessment, at: datetime) -> bool:
    return day.starts_at <= at < day.ends_at
