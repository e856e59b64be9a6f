"""Every rule on one set of entries: the findings, and what the day's views need besides."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache, cached_property
from typing import Any, TypeVar

from app.kinds import ActionVerified, CorrectiveAction, Entry, Receiving, Release, Subject

from ..history.exposure import Exposures
from ..history.kitchen import Kitchen
from ..history.set_aside import SetAside, set_aside
from ..history.versions import effective
from ..plans.plan import Plan
from ..subjects import (
    aside,
    balance,
    checklists,
    cooking,
    cooling,
    holding,
    hot_units,
    loads,
    probe_checks,
    probes,
    reheating,
    storage,
    time_control,
)
from ..subjects.cooling_stages import Clocks
from . import lateness, orders, records
from .orders import Orders, orders_of
from .register_calendar import RegisterCalendar
from .registry import RULES, Each, Rule, rules_of, with_needed
from .report import Report

T = TypeVar("T")
Asked = Callable[["Judged", Any], None]
"""Reports what one rule finds of a subject."""

_OF_FOOD = (cooking, loads, holding, hot_units, time_control, cooling, reheating, storage)
DECLARING = (*_OF_FOOD, probes, balance, aside, checklists, lateness, orders, records)
"""The modules that declare rules: the registry is full once they are imported."""


def all_rules() -> Mapping[str, Rule]:
    """Give every rule by name."""
    return RULES


class _Once(dict[Subject, T]):
    """What is worked out of each spit, tray or batch when it is first asked for: several rules and the views ask."""

    def __init__(self, make: Callable[[Any], T], kitchen: Kitchen) -> None:
        self._make, self._kitchen = make, kitchen

    def __missing__(self, subject: Subject) -> T:
        found = self[subject] = self._make(self._kitchen.holders[subject])
        return found


class Judged:
    """What the rules made of one set of entries; `only` names the rules that are asked, None: all."""

    def __init__(
        self, entries: Sequence[Entry], *, calendar: RegisterCalendar, as_of: datetime, only: frozenset[str] | None
    ) -> None:
        self.entries, self.calendar, self.only = entries, calendar, only
        self._asked: dict[tuple[Each, frozenset[str] | None], tuple[Asked, ...]] = {}
        self.kitchen = kitchen = Kitchen(effective(entries, as_of=as_of), site=calendar.site, plan_at=calendar.plan_at)
        self.report = Report(as_of, calendar.day_of, kitchen.subject)
        # What is kept for each subject holds no way back to this: the whole day is let go of at once, by no search.
        self.spits = _Once(lambda spit: cooking.judge_pulls(kitchen, spit, as_of=as_of), kitchen)
        self.dues = _Once(lambda tray: holding.checks_due(kitchen, tray), kitchen)

    def ask(self, each: Each, subject: Any, plan: Plan | None) -> None:
        """Ask the rules of one kind of subject; with a plan, as far as it has their groups in force."""
        groups = None if plan is None else plan.limits.controls
        asked = self._asked.get((each, groups))
        if asked is None:
            asked = self._asked[each, groups] = _asked(each, groups, self.only)
        for report in asked:
            report(self, subject)

    def asks(self, each: Each) -> bool:
        """Whether any rule of one kind of subject is asked, whatever the plan."""
        return bool(_asked(each, None, self.only))

    @cached_property
    def exposures(self) -> Exposures:
        """Time out of temperature of every tray."""
        return Exposures(self.kitchen, as_of=self.report.as_of)

    @cached_property
    def coolings(self) -> _Once[cooling.Cooling]:
        """The cooling of each batch."""
        clocks, report = Clocks(self.kitchen, self.exposures), self.report
        return _Once(lambda batch: cooling.judge_cooling(batch, clocks, report), self.kitchen)

    @cached_property
    def probe_records(self) -> dict[str, probe_checks.ProbeRecord]:
        """Checks and readings by probe."""
        return probe_checks.records(self.kitchen)

    @cached_property
    def late(self) -> frozenset[str]:
        """What was late when it was first written, by the id of its first version."""
        return lateness.late_roots(self.entries)

    @cached_property
    def book(self) -> records.AnswerBook:
        """What people did about findings, in order of time."""
        kitchen = self.kitchen
        actions, verified = kitchen.of_kind(CorrectiveAction), kitchen.of_kind(ActionVerified)
        return records.book_of([*actions, *verified, *kitchen.of_kind(Release)])

    @cached_property
    def aside(self) -> SetAside:
        """What findings set aside: asked for once all that can are found."""
        found = self.report.findings
        return set_aside(
            self.kitchen,
            self.report.setting_aside,
            releases_of=self.book.releases,
            doubted=(root for one in found if one.rule == "probe.review" for root in one.entries[1:]),
            as_of=self.report.as_of,
        )

    @cached_property
    def orders(self) -> Orders:
        """What corrective actions ordered of food: asked for once it is known what is set aside."""
        return orders_of(self)


@dataclass(eq=False)
class Day:
    """The business day that is asked about, with what was seen in it."""

    day: date
    starts_at: datetime
    ends_at: datetime
    seen: Sequence[Entry]
    plan: Plan

    @cached_property
    def has_work(self) -> bool:
        """Whether an entry of the day asks for the checks and the sign-off of a day."""
        return any(entry.COUNTS_FOR_DAY for entry in self.seen)


def judge(
    entries: Sequence[Entry],
    *,
    calendar: RegisterCalendar,
    as_of: datetime,
    day: date,
    only: frozenset[str] | None = None,
) -> Judged:
    """Judge all subjects in the entries, and the rules that are about `day` itself; with `only`, by these rules."""
    judged = Judged(entries, calendar=calendar, as_of=as_of, only=None if only is None else with_needed(only))
    kitchen = judged.kitchen
    for load in kitchen.loads.values():
        judged.ask(Each.LOAD, load, load.plan)
        for spit in load.spits.values():
            judged.ask(Each.SPIT, spit, load.plan)
    for each, holders in (
        (Each.TRAY, kitchen.trays()),
        (Each.BATCH, kitchen.batches()),
        (Each.REHEAT, kitchen.reheats()),
    ):
        for holder in holders if judged.asks(each) else ():
            judged.ask(each, holder, holder.plan)
    for delivery in kitchen.of_kind(Receiving):
        judged.ask(Each.DELIVERY, delivery, kitchen.plan_at(delivery.observed_at))
    for record in judged.probe_records.values() if judged.asks(Each.PROBE) else ():
        judged.ask(Each.PROBE, record, None)
    judged.ask(Each.KITCHEN, kitchen, None)
    for held in (*kitchen.trays(), *kitchen.batches()) if judged.asks(Each.ASIDE) else ():
        judged.ask(Each.ASIDE, held, held.plan)
    if judged.asks(Each.ORDERS):
        judged.ask(Each.ORDERS, judged.orders, None)
    if judged.asks(Each.DAY):
        _judge_day(judged, day)
    return judged


@cache
def _asked(each: Each, groups: frozenset[str] | None, only: frozenset[str] | None) -> tuple[Asked, ...]:
    """Give how the rules report that are asked for each of something; with `groups`, those that a plan has in force."""
    return tuple(
        rule.report
        for rule in rules_of(each)
        if (only is None or rule.name in only) and (groups is None or rule.group is None or rule.group in groups)
    )


def _judge_day(judged: Judged, day: date) -> None:
    starts_at, ends_at = judged.calendar.bounds(day)
    plan = judged.calendar.plan_at(starts_at)
    of_day = Day(day, starts_at, ends_at, judged.kitchen.seen_between(starts_at, ends_at), plan)
    judged.ask(Each.DAY, of_day, plan)
