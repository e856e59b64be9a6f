"""Checks of probes: how far off a probe is, whether that passes, and which check counts for a reading.

FDA Food Code 4-203.11 (accuracy), 4-502.11(B) (calibration as often as needed).
"""

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from app.kinds import Entry, ProbeCheck, probe_of, temperature_of

from ..day.reach import Line
from ..day.register_calendar import RegisterCalendar
from ..facts import Site
from ..history import kitchen
from ..plans.plan import Plan
from ..scales import NINE_FIFTHS
from .saturation import boiling_point_c

VALID_FOR = timedelta(hours=24)
"""How long a passing check stands, beside the business day it was made in (house)."""


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
    return celsius if unit == "C" else celsius * NINE_FIFTHS + 32


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
    """Gather checks and readings by probe, in order of time alone: no food's way is asked for."""
    known: dict[str, ProbeRecord] = {}
    for entry in kitchen_.seen:
        code = probe_of(entry)
        if code is None:
            continue
        record = known.get(code)
        if record is None:
            record = known[code] = ProbeRecord(code, [], [])
        if isinstance(entry, ProbeCheck):
            plan = kitchen_.plan_at(entry.observed_at)
            record.checks.append(judge_check(entry, site=kitchen_.site, plan=plan))
        elif temperature_of(entry) is not None:
            record.readings.append(entry)
    return known


def error_in(unit: str, check: CheckResult) -> Decimal:
    """Give the error of a check as a difference on another scale."""
    error, reading = check.error or Decimal(0), check.entry.reading
    if reading is None or unit == reading.unit:
        return error
    return error * NINE_FIFTHS if unit == "F" else error / NINE_FIFTHS


def passes(entry: Entry, calendar: RegisterCalendar) -> bool:
    """Whether an entry is a check of a probe that passes, by the plan of its own moment."""
    if not isinstance(entry, ProbeCheck):
        return False
    return judge_check(entry, site=calendar.site, plan=calendar.plan_at(entry.observed_at)).passes


PROBE = Line(
    name="probe",
    says="what was read with the probe, from its last passing check before to its next one",
    told_by=(ProbeCheck,),
    named_in=("probe",),
    settles=passes,
    back=True,
)
