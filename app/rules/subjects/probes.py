"""A probe: is it true, was it checked in time, and what did it touch while it was wrong? (design: probes)"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from app.kinds import Entry, Subject, Temperature

from ..day.report import Report
from ..facts import Site, Verdict
from ..history import kitchen
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from .saturation import boiling_point_c

VALID_FOR = timedelta(hours=24)
"""How long a passing check stands, beside the business day it was made in (design 4.8)."""

_NINE_FIFTHS = Decimal(9) / 5


@dataclass(frozen=True, slots=True)
class CheckResult:
    """What a check showed: the error in the unit it was read in (None without a display) and whether it passes."""

    entry: Entry
    error: Decimal | None
    passes: bool


def judge_check(check: Entry, *, site: Site, plan: Plan) -> CheckResult:
    """What a check showed: error in the unit it was read in (None without a display), and whether it passes."""
    reading = check.temperature
    if reading is None:
        return CheckResult(check, None, False)
    error = reading.value - reference(check, site)
    equipment = site.equipment.get(check.fields["probe"])
    if reading.unit == "F" and equipment is not None and equipment.scale == "F":
        return CheckResult(check, error, abs(error) <= plan.limits.probe_tolerance_f)
    # Multiplied out, so that nothing is rounded: error × 5/9 ≤ tolerance.
    scaled = error if reading.unit == "C" else error * 5
    tolerance = plan.limits.probe_tolerance_c * (1 if reading.unit == "C" else 9)
    return CheckResult(check, error, abs(scaled) <= tolerance)


def reference(check: Entry, site: Site) -> Decimal:
    """Give what a true probe would have read, in the unit of the check."""
    fields, unit = check.fields, check.fields["unit"]
    if fields["method"] == "comparison":
        return Decimal(fields["reference_temperature"])
    if fields["method"] == "ice_point":
        return Decimal(32 if unit == "F" else 0)
    altitude = fields.get("altitude_m", site.altitude_m)
    celsius = boiling_point_c(fields.get("pressure_hpa"), altitude)
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
        code = entry.fields.get("probe")
        if code is None:
            continue
        record = known.get(code)
        if record is None:
            record = known[code] = ProbeRecord(code, [], [])
        if entry.kind == "probe_check":
            plan = kitchen_.plan_at(entry.observed_at)
            record.checks.append(judge_check(entry, site=kitchen_.site, plan=plan))
        elif "temperature" in entry.fields:
            record.readings.append(entry)
    return known


def report_probe(report: Report, kitchen_: kitchen.Kitchen, record: ProbeRecord) -> None:
    """Report a probe's failed checks with the readings to review, and readings taken unchecked or out of use."""
    for check in record.checks:
        plan = kitchen_.plan_at(check.entry.observed_at)
        if not check.passes and plan.has("probes"):
            _report_accuracy(report, kitchen_, check, plan)
            _report_review(report, kitchen_, record, check)
    _find_first_a_day(report, kitchen_, record, "probe.check_due", _is_unchecked)
    _find_first_a_day(report, kitchen_, record, "probe.out_of_use", _is_out_of_use)


def _tolerance(plan: Plan) -> dict[str, Decimal]:
    return {"F": plan.limits.probe_tolerance_f, "C": plan.limits.probe_tolerance_c}


def _report_accuracy(report: Report, kitchen_: kitchen.Kitchen, check: CheckResult, plan: Plan) -> None:
    fields = check.entry.fields
    measured: dict[str, object] = {"no_display": True}
    if check.error is not None:
        measured = {
            "error": round(check.error, 2),
            "unit": fields["unit"],
            "temperature": fields["temperature"],
            "reference": round(reference(check.entry, kitchen_.site), 2),
        }
    report.add(
        "probe.accuracy",
        report.subject("probe", fields["probe"]),
        Verdict.NOT_MET,
        opener=check.entry,
        measured=measured,
        limit=_tolerance(plan),
        source=plan.source("probe_tolerance_c"),
        plan=plan,
    )


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


def _find_first_a_day(
    report: Report, kitchen_: kitchen.Kitchen, record: ProbeRecord, rule: str, is_wrong: _Test
) -> None:
    first: dict[object, list[Entry]] = {}
    for entry in record.readings:
        if is_wrong(report, record, entry):
            first.setdefault(report.day_of(entry.observed_at), []).append(entry)
    for entries in first.values():
        plan = kitchen_.plan_at(entries[0].observed_at)
        if plan.has("probes"):
            report.add(
                rule,
                report.subject("probe", record.code),
                Verdict.NOT_SHOWN,
                opener=entries[0],
                rests_on=entries[1:],
                measured={"readings": len(entries)},
                limit={"valid_for_h": 24},
                source=plan.source("probe_tolerance_c"),
                plan=plan,
            )


def _report_review(report: Report, kitchen_: kitchen.Kitchen, record: ProbeRecord, check: CheckResult) -> None:
    """Report, subject by subject, the readings since the last pass that the probe's error may have made good."""
    since = record.last_pass(check.entry)
    touched: dict[Subject, list[Entry]] = {}
    for entry in record.readings:
        after = since is None or entry.observed_at >= since.entry.observed_at
        if after and entry.observed_at <= check.entry.observed_at:
            for subject in doubted(kitchen_, entry, check):
                touched.setdefault(subject, []).append(entry)
    plan = kitchen_.plan_at(check.entry.observed_at)
    for subject, entries in touched.items():
        measured: dict[str, object] = {"probe": record.code, "readings": len(entries)}
        if check.error is not None:
            measured |= {"error": round(check.error, 2), "unit": check.entry.fields["unit"]}
        report.add(
            "probe.review",
            subject,
            Verdict.NOT_SHOWN,
            opener=check.entry,
            rests_on=entries,
            measured=measured,
            limit=_tolerance(plan),
            source=plan.source("probe_tolerance_c"),
            plan=plan,
        )


def doubted(kitchen_: kitchen.Kitchen, entry: Entry, check: CheckResult) -> Iterable[Subject]:
    """Give the subject of a critical reading that would be good no longer with the probe's error taken off."""
    subject, limits, wanted_high = _critical(kitchen_, entry)
    if subject is None:
        return ()
    if check.error is None:
        return (subject,)
    read = entry.reading
    true = Temperature(read.value - error_in(read.unit, check), read.unit)
    return (subject,) if any(_turns(limit, read, true, wanted_high=wanted_high) for limit in limits) else ()


def error_in(unit: str, check: CheckResult) -> Decimal:
    """Give the error of a check as a difference on another scale."""
    error, of_check = check.error or Decimal(0), check.entry.fields.get("unit", unit)
    if unit == of_check:
        return error
    return error * _NINE_FIFTHS if unit == "F" else error / _NINE_FIFTHS


def _turns(limit: TemperatureLimit, read: Temperature, true: Temperature, *, wanted_high: bool) -> bool:
    is_good = limit.at_or_above if wanted_high else limit.at_or_below
    return is_good(read) and not is_good(true)


def _critical(kitchen_: kitchen.Kitchen, entry: Entry) -> tuple[Subject | None, Sequence[TemperatureLimit], bool]:
    """Give a critical reading's subject, the limits it is held to, and whether it must be at or above them."""
    limits, fields = _plan_of(kitchen_, entry).limits, entry.fields
    match entry.kind:
        case "cook_reading":
            return kitchen_.subject("spit", fields["load"], fields["spit"]), (limits.cook_core,), True
        case "hold_reading":
            return kitchen_.subject("tray", fields["tray"]), (limits.hot_holding,), True
        case "reheat_reading":
            return kitchen_.subject("reheat", fields["reheat"]), (limits.reheat_core,), True
        case "cooling_reading" | "tray_out":
            return kitchen_.subject("batch", fields["batch"]), (limits.cool_first, limits.cool_total), False
        case "receiving":
            return kitchen_.subject("receiving", fields["lot"]), (limits.receive_cold,), False
        case "unit_check" if fields["of"] == "food":
            unit = kitchen_.site.equipment.get(fields["unit_code"])
            cold = unit is not None and unit.kind == "cold_unit"
            return (kitchen_.subject("cold_unit", fields["unit_code"]) if cold else None), (limits.cold_holding,), False
    return None, (), False


def _plan_of(kitchen_: kitchen.Kitchen, entry: Entry) -> Plan:
    """Give the plan that a reading is held to: the one in force when what was read was opened."""
    fields = entry.fields
    for kind in ("batch", "reheat", "tray"):
        holder = kitchen_.holders.get(kitchen_.subject(kind, fields[kind])) if kind in fields else None
        if holder is not None:
            return holder.plan
    load = kitchen_.loads.get(fields.get("load", ""))
    return load.plan if load is not None else kitchen_.plan_at(entry.observed_at)
