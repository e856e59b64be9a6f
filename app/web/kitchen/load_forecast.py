"""When each spit of a load is expected to reach the limit, in words; a forecast, never a verdict."""

from collections.abc import Mapping
from datetime import date
from weakref import WeakKeyDictionary

from flask_babel import gettext as _

from app import ledger, words
from app.db import Database
from app.kinds import Temperature
from app.logs import day_charts
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import LoadView
from app.rules.forecasts import forecast
from app.rules.forecasts.cook_records import record_of_view
from app.rules.forecasts.forecast import Forecast, NoForecast
from app.rules.forecasts.longest import Longest, longest_cook
from app.rules.forecasts.roasting import RoastHistory
from app.rules.meaning.cooking import core_limit
from app.server import get_database


def spit_forecasts(day: Assessment, view: LoadView) -> Mapping[int, Forecast | NoForecast]:
    """Give for every spit of a load that still turns when it is expected to reach the limit."""
    if not _turns(day, view):
        return {}
    with get_database().reading() as session:
        history = ledger.cooking_history(session, day.site.code, before=day.as_of, limit=core_limit(view).in_f)
    return _forecasts(day, view, history)


def spit_forecasts_at_a_glance(day: Assessment, view: LoadView) -> Mapping[int, Forecast | NoForecast]:
    """As `spit_forecasts`, from the spits of the days before: the first page asks every few seconds, and they are kept.

    What is corrected of an earlier day reaches it on the next one. It decides nothing but where a line stands.
    """
    return _forecasts(day, view, _history_of_days_before(day, view)) if _turns(day, view) else {}


def longest_at_a_glance(day: Assessment, view: LoadView) -> Longest:
    """Give the longest time that loads of the same oven took: what a load without a forecast goes by."""
    return longest_cook(view, day.loads, _history_of_days_before(day, view).longest)


def _history_of_days_before(day: Assessment, view: LoadView) -> RoastHistory:
    database, limit = get_database(), core_limit(view).in_f
    kept, key = _of_days_before.setdefault(database, {}), (day.site.code, day.day, limit)
    if key not in kept:
        with database.reading() as session:
            history = ledger.cooking_history(session, day.site.code, before=day.starts_at, limit=limit)
        for old in [one for one in kept if one[0] == key[0] and one[1] != key[1]]:
            kept.pop(old, None)
        kept[key] = history
    return kept[key]


_of_days_before: WeakKeyDictionary[Database, dict[tuple[str, date, Temperature], RoastHistory]] = WeakKeyDictionary()
"""By database: the past spits of one running day of a site, by the limit they were cooked to."""


def _turns(day: Assessment, view: LoadView) -> bool:
    return day.running and any(spit.birds_on for spit in view.spits)


def _forecasts(day: Assessment, view: LoadView, history: RoastHistory) -> Mapping[int, Forecast | NoForecast]:
    turning = [spit for spit in view.spits if spit.birds_on]
    settings = day_charts.oven_settings(day)
    records = {spit.spit: record_of_view(view, spit, settings) for spit in turning}
    return {spit: forecast.forecast_spit(one, history=history, at=day.as_of) for spit, one in records.items()}


def expected_lines(expected: Mapping[int, Forecast | NoForecast], day: Assessment) -> list[str]:
    """Say of each spit about when it will be at the limit, and that this decides nothing."""
    lines = []
    for spit, one in expected.items():
        said = words.forecast_words(one, day.site.timezone, day=day.day)
        if isinstance(one, Forecast):
            about = _("Spit %(spit)s at the limit: %(forecast)s", spit=spit, forecast=said)
            lines.append(f"{about} ({words.forecast_basis(one)})")
        else:
            lines.append(_("Spit %(spit)s. %(why)s", spit=spit, why=said))
    return [*lines, never_a_verdict()] if lines else []


def longest_lines(expected: Mapping[int, Forecast | NoForecast], day: Assessment, view: LoadView) -> list[str]:
    """Say how long loads of its oven took at most, where a load has no forecast; a house value beside its source."""
    if not expected or any(isinstance(one, Forecast) for one in expected.values()):
        return []
    longest = longest_at_a_glance(day, view)
    said = words.sentence_start(words.longest_words(longest))
    return [f"{said} ({longest.source})." if longest.source else f"{said}."]


def never_a_verdict() -> str:
    """Say what a forecast is not."""
    return str(_("A forecast is never a verdict: only a reading shows that a limit is met."))
