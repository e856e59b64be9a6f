"""Every rule on one set of entries: the findings, and what the day's views need besides."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import Any

from app.kinds import Entry, Receiving, Subject

from ..history.exposure import Exposures
from ..history.kitchen import Kitchen
from ..history.versions import effective
from ..plans.plan import Plan
from ..subjects import balance, cooking, cooling, holding, probes, reheating, storage, time_control
from . import records
from .register_calendar import RegisterCalendar
from .registry import RULES, Each, Rule, rules_of
from .report import Report

DECLARING = (cooking, holding, time_control, cooling, reheating, storage, probes, balance, records)
"""The modules that declare rules: the registry is full once they are imported."""


def all_rules() -> Mapping[str, Rule]:
    """Give every rule by name."""
    return RULES


@dataclass(slots=True, eq=False)
class Judged:
    """What the rules made of one set of entries."""

    kitchen: Kitchen
    exposures: Exposures
    report: Report
    calendar: RegisterCalendar
    spits: dict[Subject, cooking.SpitResult] = field(default_factory=dict)
    dues: dict[Subject, list[holding.Due]] = field(default_factory=dict)
    coolings: dict[Subject, cooling.Cooling] = field(default_factory=dict)
    probe_records: dict[str, probes.ProbeRecord] = field(default_factory=dict)
    in_force: dict[tuple[Each, frozenset[str]], tuple[Rule, ...]] = field(default_factory=dict)
    """What was asked for already: the rules of a kind of subject by the groups that a plan has in force."""


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
    judged = Judged(kitchen, Exposures(kitchen, as_of=as_of), report, calendar)
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
    _judge_day(judged, day)
    return judged


def _prepare(judged: Judged) -> None:
    """Work out what several rules and the views ask for."""
    kitchen, as_of = judged.kitchen, judged.report.as_of
    for load in kitchen.loads.values():
        for spit in load.spits.values():
            judged.spits[spit.subject] = cooking.judge_pulls(kitchen, spit, as_of=as_of)
    for tray in kitchen.trays():
        judged.dues[tray.subject] = holding.checks_due(kitchen, tray)
    for batch in kitchen.batches():
        carried = judged.exposures.carried.get(batch.subject)
        judged.coolings[batch.subject] = cooling.judge_cooling(judged.report, batch, carried)
    judged.probe_records = probes.records(kitchen)


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
