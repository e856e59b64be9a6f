"""Every rule on one set of entries: the findings, and what the day's views need besides."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from app.kinds import Entry, Subject

from ..facts import Site
from ..history.exposure import Exposures
from ..history.kitchen import Batch, Kitchen, Load
from ..history.versions import effective
from ..plans.plan import Adopted, Plan, in_force, resolve
from ..subjects import balance, cooking, cooling, holding, probes, reheating, storage, time_control
from . import days, records
from .report import Report


class Calendar:
    """Business days and plans of one site, with what was asked last at hand."""

    def __init__(self, plans: Sequence[Adopted], zone: ZoneInfo) -> None:
        self.plans, self.zone = tuple(plans), zone
        self._day: tuple[datetime, datetime, date] | None = None
        self._plans: dict[tuple[int, date], Plan] = {}

    def day_of(self, at: datetime) -> date:
        """Give the business day of a moment."""
        if self._day is None or not self._day[0] <= at < self._day[1]:
            day = days.business_day(at, plans=self.plans, zone=self.zone)
            self._day = (*self.bounds(day), day)
        return self._day[2]

    def bounds(self, day: date) -> tuple[datetime, datetime]:
        """Give a business day's start and the next one's."""
        return days.day_bounds(day, plans=self.plans, zone=self.zone)

    def start_of(self, day: date) -> datetime:
        """Give a business day's start."""
        return days.day_start(day, plans=self.plans, zone=self.zone)

    def plan_at(self, at: datetime) -> Plan:
        """Give the plan in force at a moment."""
        adopted = in_force(self.plans, at)
        key = (adopted.version, self.day_of(at))
        plan = self._plans.get(key)
        if plan is None:
            plan = self._plans[key] = resolve(adopted, key[1])
        return plan


@dataclass(slots=True, eq=False)
class Judged:
    """What the rules made of one set of entries."""

    kitchen: Kitchen
    exposures: Exposures
    report: Report
    spits: dict[Subject, cooking.SpitResult] = field(default_factory=dict)
    dues: dict[Subject, list[holding.Due]] = field(default_factory=dict)
    coolings: dict[Subject, cooling.Cooling] = field(default_factory=dict)
    probe_records: dict[str, probes.ProbeRecord] = field(default_factory=dict)


def judge(entries: Sequence[Entry], *, site: Site, calendar: Calendar, as_of: datetime, day: date) -> Judged:
    """Judge all subjects in the entries, and the rules that are about `day` itself."""
    kitchen = Kitchen(effective(entries, as_of=as_of), site=site, plan_at=calendar.plan_at)
    report = Report(as_of, calendar.day_of, kitchen.subject)
    judged = Judged(kitchen, Exposures(kitchen, as_of=as_of), report)
    for load in kitchen.loads.values():
        _judge_load(judged, load, calendar.start_of)
    _judge_trays(judged, calendar.start_of)
    for batch in kitchen.batches():
        _judge_batch(judged, batch, calendar.start_of)
    for reheat in kitchen.reheats():
        if reheat.plan.has("reheating"):
            reheating.report_reheating(report, reheat)
    _judge_storage(judged)
    judged.probe_records = probes.records(kitchen)
    for record in judged.probe_records.values():
        probes.report_probe(report, kitchen, record)
    records.report_discards_undone(report, kitchen)
    _judge_day(judged, calendar, day)
    return judged


def _judge_load(judged: Judged, load: Load, start_of: Callable[[date], datetime]) -> None:
    report, kitchen, plan = judged.report, judged.kitchen, load.plan
    if plan.has("cooking"):
        cooking.report_start_checks(report, load)
        cooking.report_interruptions(report, kitchen, load)
    if plan.has("receiving"):
        storage.report_lots(report, kitchen, load)
    for spit in load.spits.values():
        result = cooking.judge_pulls(kitchen, spit, as_of=report.as_of)
        judged.spits[spit.subject] = result
        if plan.has("cooking"):
            cooking.report_core_temperature(report, spit, result)
        if plan.has("balance"):
            balance.report_birds_on_spit(report, spit, start_of)
        if plan.has("foreign_body"):
            balance.report_ties(report, spit)


def _judge_trays(judged: Judged, start_of: Callable[[date], datetime]) -> None:
    report = judged.report
    for tray in judged.kitchen.trays():
        exposure = judged.exposures.trays[tray.subject]
        dues = judged.dues[tray.subject] = holding.checks_due(judged.kitchen, tray)
        if tray.plan.has("holding"):
            holding.report_missed_checks(report, tray, exposure, dues)
            holding.report_low_runs(report, exposure)
            holding.report_time_out(report, exposure)
            holding.report_dispositions(report, exposure)
        if tray.plan.has("time_control"):
            time_control.report_time_control(report, exposure)
        if tray.plan.has("balance"):
            discard_at = time_control.discard_at(exposure)
            balance.report_birds_in_tray(report, tray, start_of, dues=dues, discard_at=discard_at)
    holding.report_warm_units(report, judged.kitchen)


def _judge_batch(judged: Judged, batch: Batch, start_of: Callable[[date], datetime]) -> None:
    result = cooling.judge_cooling(judged.report, batch, judged.exposures.carried.get(batch.subject))
    judged.coolings[batch.subject] = result
    if batch.plan.has("cooling"):
        cooling.report_cooling(judged.report, result)
    if batch.plan.has("cold_storage"):
        cooling.report_cold_batch(judged.report, result)
        cooling.report_date_mark(judged.report, result, start_of)


def _judge_storage(judged: Judged) -> None:
    report, kitchen = judged.report, judged.kitchen
    for delivery in kitchen.of_kind("receiving"):
        plan = kitchen.plan_at(delivery.observed_at)
        if plan.has("receiving"):
            storage.report_receiving(report, delivery, plan)
    for unit in kitchen.site.equipment.values():
        if unit.kind == "cold_unit":
            storage.report_cold_unit(report, kitchen, unit.code)


def _judge_day(judged: Judged, calendar: Calendar, day: date) -> None:
    starts_at, ends_at = calendar.bounds(day)
    seen = judged.kitchen.seen_between(starts_at, ends_at)
    if not any(entry.kind != "sign_off" for entry in seen):
        return
    plan = calendar.plan_at(starts_at)
    if plan.has("cold_storage"):
        checks = [entry.fields["unit_code"] for entry in seen if entry.kind == "unit_check"]
        for unit in judged.kitchen.site.equipment.values():
            if unit.kind == "cold_unit":
                count = checks.count(unit.code)
                bounds = (starts_at, ends_at)
                storage.report_unchecked_unit(judged.report, unit, day, checks=count, bounds=bounds, plan=plan)
    due_at = calendar.bounds(calendar.day_of(ends_at))[1]
    records.report_sign_off_due(judged.report, judged.kitchen, day, due_at=due_at, plan=plan)
