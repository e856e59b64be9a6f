"""What a check of a unit and a temperature on delivery mean, by the plan in force when they were seen."""

from app.kinds import Temperature

from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from .bands import Bands, at_least, at_most, means


def unit_bands(kind: str, plan: Plan, unit: str) -> Bands:
    """Give the table for a cold or hot-holding unit (`kind`) in °F or °C (`unit`)."""
    if kind == "cold_unit":
        return at_most(plan, "cold_holding", unit, good="at_or_under", bad="over")
    return at_least(plan, "hot_holding", unit, good="at_or_above", bad="under")


def unit_limit(kind: str, plan: Plan) -> TemperatureLimit:
    """Give the limit of what is in a unit of a kind."""
    return plan.limits.cold_holding if kind == "cold_unit" else plan.limits.hot_holding


def is_within(kind: str, plan: Plan, reading: Temperature) -> bool:
    """Whether a reading of a unit is within its limit."""
    return means(unit_bands(kind, plan, reading.unit), reading).verdict == "met"


def delivery_bands(plan: Plan, unit: str) -> Bands:
    """Give the table for a chilled delivery."""
    return at_most(plan, "receive_cold", unit, good="at_or_under", bad="do_not_take")


def delivery_limit(plan: Plan) -> TemperatureLimit:
    """Give the highest temperature at which a chilled delivery is taken."""
    return plan.limits.receive_cold


def checks_owed(kind: str, plan: Plan) -> int:
    """Give how many checks a unit of a kind owes in a day; 0 where the plan asks for none."""
    return plan.limits.cold_checks_per_day if kind == "cold_unit" else 0
