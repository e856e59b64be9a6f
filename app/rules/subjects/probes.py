"""A probe: is it true, was it checked in time, and what was read with it while it was wrong?

FDA Food Code 4-203.11 (accuracy), 4-502.11(B) (calibration as often as needed).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from app.kinds import (
    CookReading,
    CoolingReading,
    Entry,
    HoldReading,
    ProbeCheck,
    Receiving,
    ReheatReading,
    Subject,
    Temperature,
    TrayOut,
    UnitCheck,
)

from ..day.registry import Each, Reach, rule
from ..day.report import Report, shown
from ..facts import Site, Verdict
from ..history import kitchen
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from .saturation import boiling_point_c

if TYPE_CHECKING:
    from ..day.judge import Judged

VALID_FOR = timedelta(hours=24)
"""How long a passing check stands, beside the business day it was made in (house)."""

_NINE_FIFTHS = Decimal(9) / 5


@dataclass(frozen=True, slots=True)
class CheckResult:
    """What a check showed: the error in the unit it was read in (None without a display) and whether it passes."""

    entry: ProbeCheck
    error: Decimal | None
    passes: bool


def judge_check(check: ProbeCheck, *, site: Site, plan: Plan) -> CheckResult:
    """What a check showed: error in the unit it was read in (None without a display), and whether it passes."""
    reading = check.reading
    if reading is None:
        return CheckResult(check, None, False)
    error = reading.value - reference(check, reading.unit, site)
    if reading.unit == "F" and site.scale_at(check.probe, check.observed_at) == "F":
        return CheckResult(check, error, abs(error) <= plan.limits.probe_tolerance_f)
    # Multiplied out, so that nothing is rounded: error × 5/9 ≤ tolerance.
    scaled = error if reading.unit == "C" else error * 5
    tolerance = plan.limits.probe_tolerance_c * (1 if reading.unit == "C" else 9)
    return CheckResult(check, error, abs(scaled) <= tolerance)


def reference(check: ProbeCheck, unit: str, site: Site) -> Decimal:
    """Give what a true probe would have read, in the unit of the check (F or C)."""
    if check.reference is not None:
        return check.reference.value
    if check.method == "ice_point":
        return Decimal(32 if unit == "F" else 0)
    altitude = site.altitude_at(check.observed_at) if check.altitude_m is None else check.altitude_m
    celsius = boiling_point_c(check.pressure_hpa, altitude)
    return celsius if unit == "C" else celsius * _NINE_FIFTHS + 32


@dataclass(slots=True, eq=False)
class ProbeRecord:
    """A probe's checks and readings in order of time."""

    code: str
    checks: list[CheckResult]
    readings: list[Entry]

    def last_pass(self, before: Entry) -> CheckResult | None:
        """The last passing check at or before an entry."""
        for check in reversed(self.checks):
            if check.passes and check.entry.observed_at <= before.observed_at and check.entry is not before:
                return check
        return None

    def last_check(self, before: Entry) -> CheckResult | None:
        """The last check at or before an entry."""
        for check in reversed(self.checks):
            if check.entry.observed_at <= before.observed_at:
                return check
        return None


def records(kitchen_: kitchen.Kitchen) -> dict[str, ProbeRecord]:
    """Gather checks and readings by probe."""
    known: dict[str, ProbeRecord] = {}
    for entry in kitchen_.entries:
        code: str | None = getattr(entry, "probe", None)
        if code is None:
            continue
        record = known.get(code)
        if record is None:
            record = known[code] = ProbeRecord(code, [], [])
        if isinstance(entry, ProbeCheck):
            plan = kitchen_.plan_at(entry.observed_at)
            record.checks.append(judge_check(entry, site=kitchen_.site, plan=plan))
        elif reading_of(entry) is not None:
            record.readings.append(entry)
    return known


def reading_of(entry: Entry) -> Temperature | None:
    """Give the temperature of an entry of any kind, if it has one."""
    found: Temperature | None = getattr(entry, "reading", None)
    return found


def _tolerance(plan: Plan) -> dict[str, Decimal]:
    return {"F": plan.limits.probe_tolerance_f, "C": plan.limits.probe_tolerance_c}


_READ_WITH = (CookReading, HoldReading, CoolingReading, ReheatReading, UnitCheck, Receiving, TrayOut)
"""Kinds of entries that have a temperature read with a probe."""


@rule(
    "probe.accuracy",
    group=None,  # each check is held to the plan of its own moment
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck,),
    reach=(Reach.PROBE,),
    not_met=("take_probe_out_of_use", "hold_for_evaluation"),
)
def report_accuracy(judged: Judged, record: ProbeRecord) -> None:
    """Report a probe's failed checks."""
    for check, plan in _failed(judged.kitchen, record):
        judged.report.add(
            "probe.accuracy",
            judged.report.subject("probe", record.code),
            Verdict.NOT_MET,
            opener=check.entry,
            measured=_error_of(check, judged.kitchen.site),
            limit=_tolerance(plan),
            source=plan.source("probe_tolerance_c"),
            plan=plan,
        )


def _failed(kitchen_: kitchen.Kitchen, record: ProbeRecord) -> Iterable[tuple[CheckResult, Plan]]:
    """Give the failed checks, each with its plan, where that asks for checks at all."""
    for check in record.checks:
        plan = kitchen_.plan_at(check.entry.observed_at)
        if not check.passes and plan.has("probes"):
            yield check, plan


def _error_of(check: CheckResult, site: Site) -> dict[str, object]:
    reading = check.entry.reading
    if check.error is None or reading is None:
        return {"no_display": True}
    true = round(reference(check.entry, reading.unit, site), 2)
    return {"error": round(check.error, 2), **shown(reading), "reference": true}


@rule(
    "probe.check_due",
    group=None,
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck, *_READ_WITH),
    reach=(Reach.PROBE,),
    not_met=("take_probe_out_of_use", "hold_for_evaluation", "none"),
)
def report_unchecked(judged: Judged, record: ProbeRecord) -> None:
    """Report readings with a probe that had not passed a check in time, once a probe and day."""
    _report_first_a_day(judged, record, "probe.check_due", _is_unchecked)


@rule(
    "probe.out_of_use",
    group=None,
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck, *_READ_WITH),
    reach=(Reach.PROBE,),
    not_met=("take_probe_out_of_use", "hold_for_evaluation", "discard"),
)
def report_used_after_failure(judged: Judged, record: ProbeRecord) -> None:
    """Report readings with a probe between a failed check and its next pass, once a probe and day."""
    _report_first_a_day(judged, record, "probe.out_of_use", _is_out_of_use)


def _is_unchecked(report: Report, record: ProbeRecord, entry: Entry) -> bool:
    check = record.last_pass(entry)
    if check is None:
        return True
    in_time = entry.observed_at - check.entry.observed_at <= VALID_FOR
    return not in_time and report.day_of(check.entry.observed_at) != report.day_of(entry.observed_at)


def _is_out_of_use(_report: Report, record: ProbeRecord, entry: Entry) -> bool:
    check = record.last_check(entry)
    return check is not None and not check.passes


_Test = Callable[[Report, ProbeRecord, Entry], bool]


def _report_first_a_day(judged: Judged, record: ProbeRecord, rule_name: str, is_wrong: _Test) -> None:
    report = judged.report
    first: dict[object, list[Entry]] = {}
    for entry in record.readings:
        if is_wrong(report, record, entry):
            first.setdefault(report.day_of(entry.observed_at), []).append(entry)
    for entries in first.values():
        plan = judged.kitchen.plan_at(entries[0].observed_at)
        if plan.has("probes"):
            report.add(
                rule_name,
                report.subject("probe", record.code),
                Verdict.NOT_SHOWN,
                opener=entries[0],
                rests_on=entries[1:],
                measured={"readings": len(entries)},
                limit={"valid_for_h": VALID_FOR // timedelta(hours=1)},
                source=plan.source("probe_tolerance_c"),
                plan=plan,
            )


_FOOD_TO_DO: Mapping[str, tuple[str, ...]] = {
    "spit": ("continue_cooking",),
    "tray": ("reheat",),
    "reheat": ("reheat",),
    "batch": (),
}
"""What makes up for a doubtful reading of food that is still here, by what it was read in."""


@rule(
    "probe.review",
    group=None,
    each=Each.PROBE,
    subjects=("spit", "tray", "batch", "reheat", "receiving", "cold_unit"),
    reads=(ProbeCheck, *_READ_WITH),
    reach=(Reach.PROBE, Reach.FOOD),
    sets_aside=_FOOD_TO_DO,
    not_met=("none",),
    by_subject={kind: (*ways, "discard", "hold_for_evaluation") for kind, ways in _FOOD_TO_DO.items()},
)
def report_review(judged: Judged, record: ProbeRecord) -> None:
    """Report, subject by subject, the readings since the last pass that the probe's error may have made good."""
    for check, plan in _failed(judged.kitchen, record):
        for subject, entries in _doubted_by(judged.kitchen, record, check).items():
            judged.report.add(
                "probe.review",
                subject,
                Verdict.NOT_SHOWN,
                opener=check.entry,
                rests_on=entries,
                measured={"probe": record.code, "readings": len(entries), **_error_alone(check)},
                limit=_tolerance(plan),
                source=plan.source("probe_tolerance_c"),
                plan=plan,
            )


def _error_alone(check: CheckResult) -> dict[str, object]:
    reading = check.entry.reading
    return {} if check.error is None or reading is None else {"error": round(check.error, 2), "unit": reading.unit}


def _doubted_by(kitchen_: kitchen.Kitchen, record: ProbeRecord, check: CheckResult) -> dict[Subject, list[Entry]]:
    """Give the readings since the last pass that a failed check puts in doubt, by subject."""
    since = record.last_pass(check.entry)
    touched: dict[Subject, list[Entry]] = {}
    for entry in record.readings:
        after = since is None or entry.observed_at >= since.entry.observed_at
        if after and entry.observed_at <= check.entry.observed_at:
            for subject in doubted(kitchen_, entry, check):
                touched.setdefault(subject, []).append(entry)
    return touched


def doubted(kitchen_: kitchen.Kitchen, entry: Entry, check: CheckResult) -> Iterable[Subject]:
    """Give the subject of a critical reading that would be good no longer with the probe's error taken off."""
    held, read = critical(kitchen_, entry), reading_of(entry)
    if held is None or read is None:
        return ()
    if check.error is None:
        return (held.subject,)
    true = Temperature(read.value - error_in(read.unit, check), read.unit)
    turns = any(held.is_good(limit, read) and not held.is_good(limit, true) for limit in held.limits)
    return (held.subject,) if turns else ()


def error_in(unit: str, check: CheckResult) -> Decimal:
    """Give the error of a check as a difference on another scale."""
    error, reading = check.error or Decimal(0), check.entry.reading
    if reading is None or unit == reading.unit:
        return error
    return error * _NINE_FIFTHS if unit == "F" else error / _NINE_FIFTHS


@dataclass(frozen=True, slots=True)
class CriticalReading:
    """What a critical reading is about, the limits it is held to, and on which side of them it is good."""

    subject: Subject
    limits: tuple[TemperatureLimit, ...]
    wanted_high: bool

    def is_good(self, limit: TemperatureLimit, reading: Temperature) -> bool:
        """Whether a reading is on the good side of a limit."""
        return limit.at_or_above(reading) if self.wanted_high else limit.at_or_below(reading)


def critical(kitchen_: kitchen.Kitchen, entry: Entry) -> CriticalReading | None:
    """Give what a critical reading is held to, by the plan of its own subject; None for any other entry."""
    subject = kitchen_.subject
    match entry:
        case CookReading():
            spit = subject("spit", entry.load, entry.spit)
            return CriticalReading(spit, (_plan_of(kitchen_, entry, spit).limits.cook_core,), True)
        case HoldReading():
            tray = subject("tray", entry.tray)
            return CriticalReading(tray, (_plan_of(kitchen_, entry, tray).limits.hot_holding,), True)
        case ReheatReading():
            reheat = subject("reheat", entry.reheat)
            return CriticalReading(reheat, (_plan_of(kitchen_, entry, reheat).limits.reheat_core,), True)
        case CoolingReading() | TrayOut(batch=str()):
            batch = subject("batch", entry.batch or "")
            limits = _plan_of(kitchen_, entry, batch).limits
            return CriticalReading(batch, (limits.cool_first, limits.cool_total), False)
        case Receiving():
            limit = kitchen_.plan_at(entry.observed_at).limits.receive_cold
            return CriticalReading(subject("receiving", entry.lot), (limit,), False)
        case UnitCheck(of="food"):
            unit = kitchen_.site.equipment.get(entry.unit_code)
            limit = kitchen_.plan_at(entry.observed_at).limits.cold_holding
            is_cold = unit is not None and unit.kind == "cold_unit"
            return CriticalReading(subject("cold_unit", entry.unit_code), (limit,), False) if is_cold else None
    return None


def _plan_of(kitchen_: kitchen.Kitchen, entry: Entry, subject: Subject) -> Plan:
    """Give the plan that a reading is held to: the one in force when what was read was opened."""
    if subject.kind == "spit":
        load = kitchen_.loads.get(subject.name)
        return kitchen_.plan_at(entry.observed_at) if load is None else load.plan
    holder = kitchen_.holders.get(subject)
    return kitchen_.plan_at(entry.observed_at) if holder is None else holder.plan
