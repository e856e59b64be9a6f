"""A probe: is it true, was it checked in time, and what was read with it while it was wrong?

FDA Food Code 4-203.11 (accuracy), 4-502.11(B) (calibration as often as needed).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from datetime import timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from app.kinds import Entry, LoadStarted, ProbeCheck, Subject, Temperature, temperature_of

from ..day.reach import FOOD
from ..day.registry import Each, rule
from ..day.report import Report, shown
from ..facts import Site, Verdict
from ..history import kitchen
from ..history.movements import MOVES
from ..history.origins import what_was_read
from ..plans.plan import Plan
from .critical_readings import CRITICAL_KINDS, critical
from .probe_checks import PROBE, VALID_FOR, CheckResult, ProbeRecord, error_in, reference

if TYPE_CHECKING:
    from ..day.judge import Judged


def _tolerance(plan: Plan) -> dict[str, Decimal]:
    return {"F": plan.limits.probe_tolerance_f, "C": plan.limits.probe_tolerance_c}


@rule(
    "probe.accuracy",
    group="probes",
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck,),
    reach=(PROBE,),
    limits=("probe_tolerance_c", "probe_tolerance_f"),
    source="water boils as IAPWS R7-97(2012) and ICAO Doc 7488 say",
    not_met=("take_probe_out_of_use", "hold_for_evaluation"),
)
def report_accuracy(judged: Judged, record: ProbeRecord) -> None:
    """A check was further off than the tolerance, or the display showed nothing: not met.

    Boiling water is as hot as the pressure, or the altitude, makes it.
    """
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
    group="probes",
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck, *CRITICAL_KINDS),
    reach=(PROBE,),
    source=f"a passed check stands for its business day and {VALID_FOR // timedelta(hours=1)} h: house",
    not_met=("take_probe_out_of_use", "hold_for_evaluation", "none"),
)
def report_unchecked(judged: Judged, record: ProbeRecord) -> None:
    """A reading without a passed check of its probe on that business day or in the 24 h before: not shown, once a
    probe and day.
    """
    _report_first_a_day(judged, record, "probe.check_due", _is_unchecked)


@rule(
    "probe.out_of_use",
    group="probes",
    each=Each.PROBE,
    subjects=("probe",),
    reads=(ProbeCheck, *CRITICAL_KINDS),
    reach=(PROBE,),
    source="no reading between a failed check and the next that passes: house",
    not_met=("take_probe_out_of_use", "hold_for_evaluation", "discard"),
)
def report_used_after_failure(judged: Judged, record: ProbeRecord) -> None:
    """A reading after a failed check and before the next pass: not shown, once a probe and day."""
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
    group="probes",
    each=Each.PROBE,
    subjects=("spit", "tray", "batch", "reheat", "receiving", "cold_unit"),
    reads=(ProbeCheck, *CRITICAL_KINDS, LoadStarted, *MOVES),
    reach=(PROBE, FOOD),
    source="what was read since the last passed check is reviewed: house",
    sets_aside=_FOOD_TO_DO,
    food=what_was_read,
    not_met=("none",),
    by_subject={kind: (*ways, "discard", "hold_for_evaluation") for kind, ways in _FOOD_TO_DO.items()},
)
def report_review(judged: Judged, record: ProbeRecord) -> None:
    """Readings since the last pass that would not be good with the error taken off: not shown, one a subject."""
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
    held, read = critical(kitchen_, entry), temperature_of(entry)
    if held is None or read is None:
        return ()
    if check.error is None:
        return (held.subject,)
    true = Temperature(read.value - error_in(read.unit, check), read.unit)
    turns = any(held.is_good(limit, read) and not held.is_good(limit, true) for limit in held.limits)
    return (held.subject,) if turns else ()
