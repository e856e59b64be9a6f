"""Each limit of a plan as a sentence that somebody in the kitchen says: `Chicken is pulled at 165 °F (74 °C) …`."""

from collections.abc import Callable, Mapping

from app.rules.plans.limits import TemperatureLimit
from app.rules.plans.plan import Plan

from . import measures, names, ways
from .checks import check_words
from .clock import time_of_day
from .marking import gettext as _
from .marking import ngettext
from .settings import setting_value


def limit_sentence(plan: Plan, name: str) -> str:
    """Say in one sentence what a setting of a plan asks for."""
    return _SAYS[name](plan)


def both(value: TemperatureLimit) -> str:
    """Give a limit in both units, the second in brackets: `165 °F (74 °C)`."""
    return f"{measures.degrees(value.F, 'F')} ({measures.degrees(value.C, 'C')})"


def _cook_core(plan: Plan) -> str:
    return _("Chicken is pulled at %(limit)s or above in the thickest part.", limit=both(plan.limits.cook_core))


def _cook_dwell(plan: Plan) -> str:
    seconds = plan.limits.cook_dwell_s
    if not seconds:
        return _("It is enough that this temperature is reached; it need not be held.")
    return _("It is held at that temperature for %(length)s.", length=measures.duration(seconds))


def _cook_target(plan: Plan) -> str:
    target = plan.limits.cook_target
    if target is None:
        return _("The house has no goal above the limit.")
    return _("The house cooks to %(target)s for texture. The limit stays as it is.", target=both(target))


def _cook_table(plan: Plan) -> str:
    if plan.limits.cook_table is None:
        return _("No published table of times takes the place of the limit.")
    pair = setting_value(plan.limits, "cook_table")
    return _("A published table of times takes the place of the limit: %(pair)s.", pair=pair)


def _cook_humidity(plan: Plan) -> str:
    if not plan.limits.cook_humidity:
        return _("No humidity is asked for: no table is used.")
    return _("Humidity for that table: %(way)s.", way=setting_value(plan.limits, "cook_humidity"))


def _birds_checked(plan: Plan) -> str:
    count = plan.limits.birds_checked_per_spit
    return ngettext(
        "At least %(count)s bird of each spit is probed before a pull.",
        "At least %(count)s birds of each spit are probed before a pull.",
        count,
        count=count,
    )


def _places(plan: Plan) -> str:
    places = measures.joined([names.place_word(place) for place in plan.limits.places_per_bird])
    return _("Each of these birds is probed in the %(places)s.", places=places)


def _interruption(plan: Plan) -> str:
    length = measures.minutes(plan.limits.interruption_min)
    return _("During a cook an oven is out for %(length)s in all at most.", length=length)


def _hot_holding(plan: Plan) -> str:
    return _("Hot chicken is held at %(limit)s or above.", limit=both(plan.limits.hot_holding))


def _check_interval(plan: Plan) -> str:
    return _("Each tray is checked every %(length)s.", length=measures.minutes(plan.limits.check_interval_min))


def _grace(plan: Plan) -> str:
    return _("Such a check may be %(length)s late.", length=measures.minutes(plan.limits.grace_min))


def _band_reheat(plan: Plan) -> str:
    length = measures.minutes(plan.limits.band_reheat_min)
    return _("Food that was out of temperature for less than %(length)s may still be used.", length=length)


def _band_discard(plan: Plan) -> str:
    length = measures.minutes(plan.limits.band_discard_min)
    return _("Food that was out of temperature for %(length)s in all is thrown away.", length=length)


def _time_control(plan: Plan) -> str:
    length = measures.minutes(plan.limits.time_control_min)
    return _("A tray held by time alone is empty %(length)s after its start.", length=length)


def _time_control_ways(plan: Plan) -> str:
    allowed = measures.joined_or([ways.to_word(way) for way in plan.limits.time_control_ways])
    return _("What is held by time alone is %(ways)s.", ways=allowed)


def _time_control_procedure(plan: Plan) -> str:
    name = plan.limits.time_control_procedure
    if not name:
        return _("No written procedure for time as the control is named.")
    return _("The written procedure for time as the control is “%(name)s”.", name=name)


def _cool_first(plan: Plan) -> str:
    return _("Chilled birds come down to %(limit)s first.", limit=both(plan.limits.cool_first))


def _cool_first_min(plan: Plan) -> str:
    return _("They are there within %(length)s.", length=measures.minutes(plan.limits.cool_first_min))


def _cool_total(plan: Plan) -> str:
    return _("Chilled birds come down to %(limit)s in the end.", limit=both(plan.limits.cool_total))


def _cool_total_min(plan: Plan) -> str:
    length = measures.minutes(plan.limits.cool_total_min)
    if plan.second_stage == "further":
        return _("They are there within %(length)s more, after the first mark.", length=length)
    return _("They are there within %(length)s of the start.", length=length)


def _reheat_core(plan: Plan) -> str:
    return _("Reheated birds reach %(limit)s or above in all parts.", limit=both(plan.limits.reheat_core))


def _reheat_dwell(plan: Plan) -> str:
    seconds = plan.limits.reheat_dwell_s
    if not seconds:
        return _("It is enough that they reach it; it need not be held.")
    return _("They are held at that temperature for %(length)s.", length=measures.duration(seconds))


def _reheat_min(plan: Plan) -> str:
    return _("They reach it within %(length)s.", length=measures.minutes(plan.limits.reheat_min))


def _cold_holding(plan: Plan) -> str:
    return _("Cold units, and what is in them, stay at %(limit)s or below.", limit=both(plan.limits.cold_holding))


def _cold_checks(plan: Plan) -> str:
    count = plan.limits.cold_checks_per_day
    if not count:
        return _("How often a cold unit is checked is left open.")
    return ngettext(
        "Each cold unit is checked %(count)s time a day.",
        "Each cold unit is checked %(count)s times a day.",
        count,
        count=count,
    )


def _date_mark(plan: Plan) -> str:
    count = plan.limits.date_mark_days
    return ngettext(
        "Chilled birds are kept for %(count)s day at most, the day of cooking included.",
        "Chilled birds are kept for %(count)s days at most, the day of cooking included.",
        count,
        count=count,
    )


def _receive_cold(plan: Plan) -> str:
    return _("Chilled poultry is accepted at %(limit)s or below.", limit=both(plan.limits.receive_cold))


def _tolerance_c(plan: Plan) -> str:
    within = setting_value(plan.limits, "probe_tolerance_c")
    return _("A probe that shows °C, or both scales, is right within %(within)s.", within=within)


def _tolerance_f(plan: Plan) -> str:
    within = setting_value(plan.limits, "probe_tolerance_f")
    return _("A probe that shows °F alone is right within %(within)s.", within=within)


def _late(plan: Plan) -> str:
    length = measures.minutes(plan.limits.late_min)
    return _("What is written more than %(length)s after it was seen is marked late.", length=length)


def _day_starts(plan: Plan) -> str:
    return _("The business day starts at %(time)s.", time=time_of_day(plan.limits.day_starts))


def _start_checks(plan: Plan) -> str:
    return _listed(_("Before an oven is started"), plan.limits.start_checks)


def _opening_checks(plan: Plan) -> str:
    return _listed(_("Opening"), plan.limits.opening_checks)


def _closing_checks(plan: Plan) -> str:
    return _listed(_("Closing"), plan.limits.closing_checks)


def _listed(when: str, items: tuple[str, ...]) -> str:
    what = "; ".join(check_words(item).title for item in items) or _("nothing is checked")
    return _("%(when)s: %(what)s.", when=when, what=what)


def _controls(plan: Plan) -> str:
    return _("In force: %(groups)s.", groups=setting_value(plan.limits, "controls"))


_SAYS: Mapping[str, Callable[[Plan], str]] = {
    "cook_core": _cook_core,
    "cook_dwell_s": _cook_dwell,
    "cook_target": _cook_target,
    "cook_table": _cook_table,
    "cook_humidity": _cook_humidity,
    "birds_checked_per_spit": _birds_checked,
    "places_per_bird": _places,
    "interruption_min": _interruption,
    "hot_holding": _hot_holding,
    "check_interval_min": _check_interval,
    "grace_min": _grace,
    "band_reheat_min": _band_reheat,
    "band_discard_min": _band_discard,
    "time_control_min": _time_control,
    "time_control_ways": _time_control_ways,
    "time_control_procedure": _time_control_procedure,
    "cool_first": _cool_first,
    "cool_first_min": _cool_first_min,
    "cool_total": _cool_total,
    "cool_total_min": _cool_total_min,
    "reheat_core": _reheat_core,
    "reheat_dwell_s": _reheat_dwell,
    "reheat_min": _reheat_min,
    "cold_holding": _cold_holding,
    "cold_checks_per_day": _cold_checks,
    "date_mark_days": _date_mark,
    "receive_cold": _receive_cold,
    "probe_tolerance_c": _tolerance_c,
    "probe_tolerance_f": _tolerance_f,
    "late_min": _late,
    "day_starts": _day_starts,
    "start_checks": _start_checks,
    "opening_checks": _opening_checks,
    "closing_checks": _closing_checks,
    "controls": _controls,
}
