"""Forecasts in words: always «about», with the range, and what they rest on; or why there is none."""

from collections.abc import Mapping
from datetime import date
from zoneinfo import ZoneInfo

from app.rules.forecasts.forecast import Basis, Forecast, NoForecast, Reason

from . import measures
from .marking import N_, ngettext, say
from .marking import gettext as _

_REASONS: Mapping[str, str] = {
    Reason.NO_READINGS: N_("No forecast: nothing was read yet."),
    Reason.FEW_READINGS: N_("No forecast: too few readings."),
    Reason.TOO_EARLY: N_("No forecast: too early to tell."),
    Reason.REACHED: N_("Its last reading is at the limit already."),
    Reason.NOT_EXPECTED: N_("By its readings it may never get there."),
}


def forecast_words(forecast: Forecast | NoForecast, zone: ZoneInfo, *, day: date) -> str:
    """Give `about 17:40, between 17:33 and 17:47`, or why there is no forecast."""
    if isinstance(forecast, NoForecast):
        return say(_REASONS, forecast.reason)
    about = measures.local_time(forecast.about, zone, day=day)
    earliest = measures.local_time(forecast.earliest, zone, day=day)
    if forecast.latest is None:
        return _("about %(about)s, not before %(earliest)s, perhaps never", about=about, earliest=earliest)
    latest = measures.local_time(forecast.latest, zone, day=day)
    return _("about %(about)s, between %(earliest)s and %(latest)s", about=about, earliest=earliest, latest=latest)


def forecast_basis(forecast: Forecast) -> str:
    """Say what a forecast rests on."""
    readings = ngettext("%(num)s reading", "%(num)s readings", forecast.readings)
    spits = ngettext("%(num)s past spit", "%(num)s past spits", forecast.past_loads)
    if forecast.basis is Basis.READINGS:
        return _("from %(readings)s", readings=readings)
    if forecast.basis is Basis.PAST_LOADS:
        return _("from %(spits)s", spits=spits)
    return _("from %(readings)s and %(spits)s", readings=readings, spits=spits)
