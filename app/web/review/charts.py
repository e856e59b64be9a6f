"""Charts: each a page of its own with its numbers as a table, and its drawing alone, for the day's page."""

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from http import HTTPStatus

from flask import Blueprint, Response, abort, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import ngettext

from app import clock, ledger, words
from app.kinds import HoldReading, ProbeCheck, UnitCheck, of_kind
from app.kinds.entry import K
from app.kinds.permissions import Permission
from app.logs import charts, day_charts
from app.logs.charts import FILE_STYLE_SOURCE, Chart
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.forecasts import forecast
from app.rules.forecasts.forecast import Forecast
from app.rules.meaning import holding, storage
from app.rules.meaning.cooling import longest_cooling
from app.rules.meaning.probes import tolerance
from app.rules.plans import plan
from app.rules.subjects import probe_checks
from app.server import get_database
from app.server.languages import select_language
from app.server.program import program_digest

from ..kitchen import batch_forecast
from ..kitchen.lethality_lines import lethality_lines
from ..kitchen.load_forecast import expected_lines, never_a_verdict, spit_forecasts
from ..kitchen.running_day import assess_day, get_past_day
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("charts", __name__, url_prefix="/charts")

_LOOK_BACK = timedelta(days=60)
_FEWEST = 2
_POLICY = f"default-src 'none'; style-src {FILE_STYLE_SOURCE}; frame-ancestors 'none'"


@dataclass(frozen=True, slots=True)
class ChartPage:
    """A chart with a heading and lines under it; without a chart the lines say why."""

    title: str
    chart: Chart | None
    lines: Sequence[str] = ()


@dataclass(frozen=True, slots=True)
class _Moment:
    """What the checks of a probe or a unit are looked at from: the plan of a day, and the end of it (or now)."""

    plan: plan.Plan
    at: datetime


def _shown(view: ChartPage) -> ResponseReturnValue:
    return page("charts/chart.html", view=view)


def _drawn(make: Callable[[str], ChartPage], name: str) -> ResponseReturnValue:
    """Give a chart's drawing alone. A browser that has it asks whether it still holds; then nothing is drawn."""
    response = Response(mimetype="image/svg+xml", headers={"Content-Security-Policy": _POLICY})
    response.headers["Cache-Control"] = "private, no-cache"
    response.set_etag(_fingerprint())
    response.make_conditional(request)
    if response.status_code == HTTPStatus.OK:
        made = make(name)
        response.set_data((made.chart or charts.in_words(made.lines[0])).file)
    return response


def _fingerprint() -> str:
    """Tell apart whatever changes a drawing: entries, plans, what is set up, the language, the program, and time."""
    site, now = identity.current().site, clock.utc_now()
    day = get_past_day(request.args.get("day"))
    with get_database().reading() as session:
        head, calendar = ledger.head(session, site.code), ledger.calendar_of(session, site.code)
    minute = "" if day and now >= _settled_at(day, calendar) else now.isoformat(timespec="minutes")
    parts = (program_digest(), site.code, head, minute, select_language(), request.full_path)
    return hashlib.sha256(repr(parts).encode()).hexdigest()


def _settled_at(day: date, calendar: RegisterCalendar) -> datetime:
    """Give the moment from which only an entry changes a day's drawings: what was chilled on it is no longer due."""
    return calendar.bounds(day)[1] + longest_cooling(calendar.plan_of(day))


@blueprint.get("/load/<load>")
@requires(Permission.READ_RECORDS)
def load(load: str) -> ResponseReturnValue:
    """A load's readings against the limit, with what is forecast for spits that still turn."""
    return _shown(_load_page(load))


@blueprint.get("/load/<load>/drawing.svg")
@requires(Permission.READ_RECORDS)
def load_drawing(load: str) -> ResponseReturnValue:
    """Give only the drawing."""
    return _drawn(_load_page, load)


@blueprint.get("/tray/<tray>")
@requires(Permission.READ_RECORDS)
def tray(tray: str) -> ResponseReturnValue:
    """A tray's life in hot holding."""
    return _shown(_tray_page(tray))


@blueprint.get("/tray/<tray>/drawing.svg")
@requires(Permission.READ_RECORDS)
def tray_drawing(tray: str) -> ResponseReturnValue:
    """Give only the drawing."""
    return _drawn(_tray_page, tray)


@blueprint.get("/batch/<batch>")
@requires(Permission.READ_RECORDS)
def batch(batch: str) -> ResponseReturnValue:
    """A batch's cooling against its two marks, with what is forecast for those that are pending."""
    return _shown(_batch_page(batch))


@blueprint.get("/batch/<batch>/drawing.svg")
@requires(Permission.READ_RECORDS)
def batch_drawing(batch: str) -> ResponseReturnValue:
    """Give only the drawing."""
    return _drawn(_batch_page, batch)


@blueprint.get("/probe/<probe>")
@requires(Permission.READ_RECORDS)
def probe(probe: str) -> ResponseReturnValue:
    """A probe's checks of the two months until a day against its tolerance."""
    return _shown(_probe_page(probe))


@blueprint.get("/probe/<probe>/drawing.svg")
@requires(Permission.READ_RECORDS)
def probe_drawing(probe: str) -> ResponseReturnValue:
    """Give only the drawing."""
    return _drawn(_probe_page, probe)


@blueprint.get("/unit/<unit>")
@requires(Permission.READ_RECORDS)
def unit(unit: str) -> ResponseReturnValue:
    """A unit's control chart: what is usual for it, kept apart from what is within the limit."""
    return _shown(_unit_page(unit))


@blueprint.get("/unit/<unit>/drawing.svg")
@requires(Permission.READ_RECORDS)
def unit_drawing(unit: str) -> ResponseReturnValue:
    """Give only the drawing."""
    return _drawn(_unit_page, unit)


# ---- the charts ------------------------------------------------------------------------------------------------------


def _load_page(load: str) -> ChartPage:
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.loads if one.load == load), None) or abort(404)
    expected = spit_forecasts(day, view)
    known = {spit: one for spit, one in expected.items() if isinstance(one, Forecast)}
    lines = [*expected_lines(expected, day), *lethality_lines(view)]
    return ChartPage(_("Load %(load)s", load=load), day_charts.load_chart(view, day, known), lines)


def _tray_page(tray: str) -> ChartPage:
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.trays if one.tray == tray), None) or abort(404)
    readings = [(one.observed_at, one.reading) for one in of_kind(view.history, HoldReading)]
    limit = holding.hold_limit(view).in_f
    found = forecast.forecast_tray(readings, limit=limit, at=day.as_of)
    expected = found if isinstance(found, Forecast) and view.birds_left > 0 else None
    lines = []
    if expected is not None:
        said = words.forecast_words(expected, day.site.timezone, day=day.day)
        lines += [_("Down to the limit: %(forecast)s.", forecast=said), never_a_verdict()]
    return ChartPage(_("Tray %(tray)s", tray=tray), day_charts.tray_chart(view, day, expected), lines)


def _batch_page(batch: str) -> ChartPage:
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.batches if one.batch == batch), None) or abort(404)
    marks, zone = batch_forecast.marks_of(view, day), day.site.timezone
    expected = [one.forecast if isinstance(one.forecast, Forecast) else None for one in marks]
    lines = [
        _("%(stage)s: %(forecast)s", stage=one.name, forecast=words.forecast_words(one.forecast, zone, day=day.day))
        for one in marks
        if one.forecast
    ]
    lines += [never_a_verdict()] if any(expected) else []
    return ChartPage(_("Batch %(batch)s", batch=batch), day_charts.batch_chart(view, day, expected), lines)


def _probe_page(probe: str) -> ChartPage:
    site = identity.current().site
    equipment = site.equipment.get(probe)
    if equipment is None or equipment.kind != "probe":
        abort(404)
    moment, title = _moment(), _("Probe %(probe)s", probe=probe)
    checks = [
        probe_checks.judge_check(e, site=site, plan=moment.plan) for e in _checks(ProbeCheck, f"check:{probe}", moment)
    ]
    if not checks:
        return ChartPage(title, None, [_("No check of this probe is recorded.")])
    unit = "F" if equipment.scale == "F" else "C"
    allowed = tolerance(moment.plan, scale=equipment.scale, unit=unit)
    return ChartPage(title, charts.probe_chart(probe, checks, tolerance=allowed, zone=site.timezone))


def _unit_page(unit: str) -> ChartPage:
    site = identity.current().site
    equipment = site.equipment.get(unit)
    if equipment is None or equipment.kind not in ("cold_unit", "hot_unit"):
        abort(404)
    moment, title = _moment(), _("Unit %(unit)s", unit=unit)
    checks, left_out = _one_kind(_checks(UnitCheck, f"unit:{unit}", moment))
    if len(checks) < _FEWEST:
        return ChartPage(title, None, [_("It takes two checks or more to see what is usual for this unit.")])
    limit = storage.unit_limit(equipment.kind, moment.plan)
    within = [storage.is_within(equipment.kind, moment.plan, check.reading) for check in checks]
    drawn = charts.unit_chart(unit, checks, limit=limit, within=within, zone=site.timezone)
    lines = [_("Usual is not the same as within the limit: only the limit decides.")]
    if left_out:
        lines.append(
            ngettext(
                "Air and food are not one series: %(count)s reading of the other is not drawn.",
                "Air and food are not one series: %(count)s readings of the other are not drawn.",
                left_out,
                count=left_out,
            )
        )
    return ChartPage(title, drawn, lines)


def _one_kind(checks: Sequence[UnitCheck]) -> tuple[list[UnitCheck], int]:
    """Give the checks of what was read most often, air or food, and how many are left out."""
    of_air = [check for check in checks if check.of == "air"]
    of_food = [check for check in checks if check.of == "food"]
    chosen = of_air if len(of_air) >= len(of_food) else of_food
    return chosen, len(checks) - len(chosen)


def _moment() -> _Moment:
    site, now = identity.current().site, clock.utc_now()
    asked = get_past_day(request.args.get("day"))
    with get_database().reading() as session:
        calendar = ledger.calendar_of(session, site.code)
    day = asked or calendar.day_of(now)
    return _Moment(calendar.plan_of(day), min(now, calendar.bounds(day)[1]))


def _checks(kind: type[K], subject: str, moment: _Moment) -> list[K]:
    code = identity.current().site.code
    with get_database().reading() as session:
        return ledger.checks_since(session, code, kind, subject, since=moment.at - _LOOK_BACK, as_of=moment.at)
