"""Every rule on one set of entries: the findings, and what the day's views need besides."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any

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
from .registry import RULES, Each, Rule, rules_of
from .report import Report

_OF_FOOD = (cooking, holding, time_control, cooling, reheating, storage)
DECLARING = (*_OF_FOOD, probes, balance, aside, checklists, lateness, orders, records)
"""The modules that declare rules: the registry is full once they are imported."""


def all_rules() -> Mapping[str, Rule]:
    """Give every rule by name."""
    return RULES


@dataclass(eq=False)
class Judged:
    """What the rules made of one set of entries."""

    kitchen: Kitchen
    exposures: Exposures
    clocks: Clocks
    report: Report
    calendar: RegisterCalendar
    spits: dict[Subject, cooking.SpitResult] = field(default_factory=dict)
    dues: dict[Subject, list[holding.Due]] = field(default_factory=dict)
    coolings: dict[Subject, cooling.Cooling] = field(default_factory=dict)
    probe_records: dict[str, probe_checks.ProbeRecord] = field(default_factory=dict)
    late: frozenset[str] = frozenset()
    """What was late when it was first written, by the id of its first version."""
    aside: SetAside = field(init=False)
    """What findings set aside, once all that can are found."""
    orders: Orders = field(init=False)
    """What corrective actions ordered of food, once it is known what is set aside."""
    in_force: dict[tuple[Each, frozenset[str]], tuple[Rule, ...]] = field(default_factory=dict)
    """What was asked for already: the rules of a kind of subject by the groups that a plan has in force."""

    @cached_property
    def book(self) -> records.AnswerBook:
        """What people did about findings, in order of time."""
        kitchen = self.kitchen
        actions, verified = kitchen.of_kind(CorrectiveAction), kitchen.of_kind(ActionVerified)
        return records.book_of([*actions, *verified, *kitchen.of_kind(Release)])


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


def judge(entries: Sequence[Entry], *, calendar: RegisterCalendar, as_of: datetime, day: date) -> Judged:
    """Judge all subjects in the entries, and the rules that are about `day` itself."""
    kitchen = Kitchen(effective(entries, as_of=as_of), site=calendar.site, plan_at=calendar.plan_at)
    report = Report(as_of, calendar.day_of, kitchen.subject)
    exposures = Exposures(kitchen, as_of=as_of)
    judged = Judged(kitchen, exposures, Clocks(kitchen, exposures), report, calendar)
    judged.late = lateness.late_roots(entries)
    _prepare(judged)
    for load in kitchen.loads.values():
        _run(judged, Each.LOAD, load, load.plan)
        for spit in load.spits.values():
            _run(judged, Each.SPIT, spit, load.plan)
    for each, holders in (
        (Each.TRAY, kitchen.trays()),
        (Each.BATCH, kitchen.batches()),
        (Each.REHEAT, kitchen.reheats()),
    ):
        for holder in holders:
            _run(judged, each, holder, holder.plan)
    for delivery in kitchen.of_kind(Receiving):
        _run(judged, Each.DELIVERY, delivery, kitchen.plan_at(delivery.observed_at))
    for record in judged.probe_records.values():
        for rule in rules_of(Each.PROBE):
            rule.report(judged, record)
    for rule in rules_of(Each.KITCHEN):
        rule.report(judged, kitchen)
    _set_aside(judged)
    _judge_day(judged, day)
    return judged


def _set_aside(judged: Judged) -> None:
    """Follow the food that findings set aside, and ask what left it and whether what was ordered was done."""
    report = judged.report
    doubted = (root for found in report.findings if found.rule == "probe.review" for root in found.entries[1:])
    judged.aside = set_aside(
        judged.kitchen,
        report.setting_aside,
        releases_of=judged.book.releases,
        doubted=doubted,
        as_of=report.as_of,
    )
    for holder in (*judged.kitchen.trays(), *judged.kitchen.batches()):
        _run(judged, Each.ASIDE, holder, holder.plan)
    judged.orders = orders_of(judged)
    for rule in rules_of(Each.ORDERS):
        rule.report(judged, judged.orders)


def _prepare(judged: Judged) -> None:
    """Work out what several rules and the views ask for."""
    kitchen, as_of = judged.kitchen, judged.report.as_of
    for load in kitchen.loads.values():
        for spit in load.spits.values():
            judged.spits[spit.subject] = cooking.judge_pulls(kitchen, spit, as_of=as_of)
    for tray in kitchen.trays():
        judged.dues[tray.subject] = holding.checks_due(kitchen, tray)
    for batch in kitchen.batches():
        judged.coolings[batch.subject] = cooling.judge_cooling(judged, batch)
    judged.probe_records = probe_checks.records(kitchen)


def _run(judged: Judged, each: Each, subject: Any, plan: Plan) -> None:
    """Ask the rules of one kind of subject, as far as its plan has their groups in force."""
    key = (each, plan.limits.controls)
    rules = judged.in_force.get(key)
    if rules is None:
        in_force = (rule for rule in rules_of(each) if rule.group is None or plan.has(rule.group))
        rules = judged.in_force[key] = tuple(in_force)
    for rule in rules:
        rule.report(judged, subject)


def _judge_day(judged: Judged, day: date) -> None:
    starts_at, ends_at = judged.calendar.bounds(day)
    plan = judged.calendar.plan_at(starts_at)
    of_day = Day(day, starts_at, ends_at, judged.kitchen.seen_between(starts_at, ends_at), plan)
    _run(judged, Each.DAY, of_day, plan)
