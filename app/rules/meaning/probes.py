"""How far off a probe may be, in the unit that is read."""

from decimal import Decimal

from ..plans.plan import Plan


def tolerance(plan: Plan, *, scale: str | None, unit: str) -> tuple[Decimal, str]:
    """Give the tolerance of a probe and its unit: °F for a display that shows only °F, else °C."""
    if unit == "F" and scale == "F":
        return plan.limits.probe_tolerance_f, "F"
    return plan.limits.probe_tolerance_c, "C"
