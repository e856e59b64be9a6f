"""Forecasts in words: always «about», with the range, and what they rest on; or why there is none."""

from collections.abc import Mapping
from datetime import date
from zoneinfo import ZoneInfo

from app.rules.forecasts.forecast import Basis, Forecast, NoForecast, Reason
from app.rules.forecasts.longest import Longest, ShownBy

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

_LONGEST: Mapping[str, str] = {
    ShownBy.TODAY: N_("no forecast; longest of this oven today %(length)s"),
    ShownBy.EARLIER: N_("no forecast; longest of this oven before today %(length)s"),
    ShownBy.HOUSE: N_("no forecast; no load to compare with, house value %(length)s"),
}

_OVERLONG: Mapping[str, str] = {
    ShownBy.TODAY: N_("longer than any load of this oven today, at most %(length)s"),
    ShownBy.EARLIER: N_("longer than any earlier load of this oven, at most %(length)s"),
    ShownBy.HOUSE: N_("longer than the house value %(length)s, no load to compare with"),
}


def longest_words(longest: Longest) -> str:
    """Say how long loads took at the longest, by what, where there is no forecast."""
    return _(_LONGEST[longest.shown_by], length=measures.duration(longest.length))


def overlong_words(longest: Longest) -> str:
    """Say that a load cooks longer than that."""
    return _(_OVERLONG[longest.shown_by], length=measures.duration(longest.length))


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
