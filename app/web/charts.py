"""Charts as pages of their own, so that the words of a page are there first: loads, trays, batches, probes, units."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from flask import Blueprint, abort, request
from flask.typing import ResponseReturnValue

from app import clock, ledger
from app.logs import charts, words
from app.logs.charts import Chart
from app.logs.words.marking import gettext as _
from app.rules import days, forecast, lethality, plan, probes
from app.rules.cook_time import SpitRecord
from app.rules.facts import Entry, Temperature
from app.rules.forecast import Forecast, NoForecast
from app.rules.shown import Assessment, LoadView, SpitView
from app.server import get_database

from . import batch_forecast, identity
from .identity import requires
from .pages import page
from .running_day import assess_day

blueprint = Blueprint("charts", __name__, url_prefix="/charts")

_EVERYBODY = ("cook", "in_charge", "inspector")
_LOOK_BACK = timedelta(days=60)
_FEWEST = 2
_LETHALITY_FROM = 3
"""Readings of one bird at one place from which its lethality is shown."""
_STANDARD_LOGS = 7
"""9 CFR 381.150(a)(1): the reduction of Salmonella that cooked poultry is held to."""


@dataclass(frozen=True, slots=True)
class ChartPage:
    """A chart with a heading and lines under it; without a chart the lines say why."""

    title: str
    chart: Chart | None
    lines: Sequence[str] = ()


@blueprint.get("/load/<load>")
@requires(*_EVERYBODY)
def load(load: str) -> ResponseReturnValue:
    """Draw a load's readings against the limit, with what is forecast for spits that still turn."""
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.loads if one.load == load), None) or abort(404)
    zone, limits = day.site.timezone, day.plan.limits
    expected = spit_forecasts(day, view)
    drawn = charts.load_chart(
        view,
        limit=limits.cook_core,
        zone=zone,
        settings=[e for e in day.entries if e.kind == "oven_setting" and e.fields["oven"] == view.oven],
        forecasts={spit: one for spit, one in expected.items() if isinstance(one, Forecast)},
    )
    lines = [*_expected_lines(expected, day), *_lethality_lines(view)]
    return _shown(_("Load %(load)s", load=load), drawn, lines)


@blueprint.get("/tray/<tray>")
@requires(*_EVERYBODY)
def tray(tray: str) -> ResponseReturnValue:
    """Draw a tray's life in hot holding."""
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.trays if one.tray == tray), None) or abort(404)
    limit = day.plan.limits.hot_holding
    readings = [(e.observed_at, e.reading) for e in view.history if e.kind == "hold_reading"]
    found = forecast.forecast_tray(readings, limit=Temperature(limit.F, "F"), at=day.as_of)
    expected = found if isinstance(found, Forecast) and view.birds_left > 0 else None
    drawn = charts.tray_chart(view, limit=limit, zone=day.site.timezone, forecast=expected)
    lines = []
    if expected is not None:
        said = words.forecast_words(expected, day.site.timezone, day=day.day)
        lines += [_("Down to the limit: %(forecast)s.", forecast=said), _never_a_verdict()]
    return _shown(_("Tray %(tray)s", tray=tray), drawn, lines)


@blueprint.get("/batch/<batch>")
@requires(*_EVERYBODY)
def batch(batch: str) -> ResponseReturnValue:
    """Draw a batch's cooling against its two marks, with what is forecast for those that are pending."""
    day = assess_day(request.args.get("day"))
    view = next((one for one in day.batches if one.batch == batch), None) or abort(404)
    marks, zone = batch_forecast.marks_of(view, day), day.site.timezone
    expected = [one.forecast if isinstance(one.forecast, Forecast) else None for one in marks]
    drawn = charts.batch_chart(view, limits=day.plan.limits, zone=zone, forecasts=expected)
    lines = [
        _("%(stage)s: %(forecast)s", stage=one.name, forecast=words.forecast_words(one.forecast, zone, day=day.day))
        for one in marks
        if one.forecast
    ]
    return _shown(_("Batch %(batch)s", batch=batch), drawn, [*lines, _never_a_verdict()] if any(expected) else lines)


@blueprint.get("/probe/<probe>")
@requires(*_EVERYBODY)
def probe(probe: str) -> ResponseReturnValue:
    """Draw a probe's checks of the last two months against its tolerance."""
    site = identity.current().site
    equipment = site.equipment.get(probe)
    if equipment is None or equipment.kind != "probe":
        abort(404)
    limits = _plan_now().limits
    checks = [probes.judge_check(e, site=site, plan=_plan_now()) for e in _checks(f"check:{probe}")]
    if not checks:
        return _shown(_("Probe %(probe)s", probe=probe), None, [_("No check of this probe is recorded.")])
    drawn = charts.probe_chart(probe, checks, scale=equipment.scale, limits=limits, zone=site.timezone)
    return _shown(_("Probe %(probe)s", probe=probe), drawn, [])


@blueprint.get("/unit/<unit>")
@requires(*_EVERYBODY)
def unit(unit: str) -> ResponseReturnValue:
    """Draw a unit's control chart: what is usual for it, kept apart from what is within the limit."""
    site = identity.current().site
    equipment = site.equipment.get(unit)
    if equipment is None or equipment.kind not in ("cold_unit", "hot_unit"):
        abort(404)
    limits, checks = _plan_now().limits, _checks(f"unit:{unit}")
    title = _("Unit %(unit)s", unit=unit)
    if len(checks) < _FEWEST:
        return _shown(title, None, [_("It takes two checks or more to see what is usual for this unit.")])
    cold = equipment.kind == "cold_unit"
    limit = limits.cold_holding if cold else limits.hot_holding
    within = [limit.at_or_below(e.reading) if cold else limit.at_or_above(e.reading) for e in checks]
    drawn = charts.unit_chart(unit, checks, limit=limit, within=within, zone=site.timezone)
    return _shown(title, drawn, [_("Usual is not the same as within the limit: only the limit decides.")])


def _shown(title: str, chart: Chart | None, lines: Sequence[str]) -> ResponseReturnValue:
    return page("charts/chart.html", view=ChartPage(title, chart, lines))


def _plan_now() -> plan.Plan:
    site, now = identity.current().site, clock.utc_now()
    with get_database().reading() as session:
        plans = ledger.read_plans(session, site.code)
    return plan.resolve(plan.in_force(plans, now), days.business_day(now, plans=plans, zone=site.timezone))


def _checks(subject: str) -> list[Entry]:
    now, code = clock.utc_now(), identity.current().site.code
    with get_database().reading() as session:
        return ledger.checks_since(session, code, subject, since=now - _LOOK_BACK, as_of=now)


# ---- what is forecast, and what the readings add up to --------------------------------------------------------------


def spit_forecasts(day: Assessment, view: LoadView) -> Mapping[int, Forecast | NoForecast]:
    """Give for every spit of a load that still turns when it is expected to reach the limit."""
    turning = [spit for spit in view.spits if spit.birds_on]
    if not turning or not day.running:
        return {}
    limit = Temperature(day.plan.limits.cook_core.F, "F")
    with get_database().reading() as session:
        history = ledger.cooking_history(session, day.site.code, before=day.as_of, limit=limit)
    records = {spit.spit: _record(view, spit) for spit in turning}
    return {spit: forecast.forecast_spit(one, history=history, at=day.as_of) for spit, one in records.items()}


def _record(view: LoadView, spit: SpitView) -> SpitRecord:
    readings = [(entry.observed_at, entry.reading) for entry in spit.readings]
    return SpitRecord(started_at=view.started_at, readings=readings, birds=spit.birds)


def _expected_lines(expected: Mapping[int, Forecast | NoForecast], day: Assessment) -> list[str]:
    lines = []
    for spit, one in expected.items():
        said = words.forecast_words(one, day.site.timezone, day=day.day)
        basis = f" ({words.forecast_basis(one)})" if isinstance(one, Forecast) else ""
        lines.append(_("Spit %(spit)s at the limit: %(forecast)s", spit=spit, forecast=said) + basis)
    return [*lines, _never_a_verdict()] if lines else []


def _never_a_verdict() -> str:
    return _("A forecast is never a verdict: only a reading shows that a limit is met.")


def _lethality_lines(view: LoadView) -> list[str]:
    """Give, for information, what the readings of a bird add up to by the published tables and by the integral."""
    lines = []
    for spit in view.spits:
        by_bird: dict[tuple[int, str], list[Entry]] = {}
        for entry in spit.readings:
            by_bird.setdefault((entry.fields["bird"], entry.fields["place"]), []).append(entry)
        for (bird, _place), entries in by_bird.items():
            if len(entries) >= _LETHALITY_FROM:
                lines.append(_lethality_line(spit.spit, bird, entries))
    return lines


def _lethality_line(spit: int, bird: int, entries: Sequence[Entry]) -> str:
    record = [(entry.observed_at, entry.reading) for entry in entries]
    row = lethality.best_row(lethality.rows_shown(record, species=lethality.Species.CHICKEN))
    kinetics = lethality.published_kinetics()[0]
    values = {
        "spit": spit,
        "bird": bird,
        "logs": _logs(lethality.log_reduction(record, kinetics)),
        "table": _table_words(row),
        "source": kinetics.source,
    }
    return _(
        "For information, not a verdict: spit %(spit)s, bird %(bird)s. %(table)s The integral of its readings gives "
        "%(logs)s tenfold reductions of Salmonella (%(source)s).",
        **values,
    )


def _logs(reduction: float) -> str:
    # Beyond the seven that the performance standard asks for, the figure says more than anybody measured.
    return _("over 7") if reduction > _STANDARD_LOGS else f"{reduction:.1f}"


def _table_words(row: lethality.RowShown | None) -> str:
    if row is None:
        return _("No reading reaches a row of the FSIS 2021 chicken table.")
    values = {"row": row.temperature_f, "shown": round(row.shown_s or Decimal(0)), "asked": row.required_s}
    if row.met and not row.required_s:
        return _("A reading reaches %(row)s °F, where the FSIS 2021 chicken table asks for no time.", **values)
    if row.met:
        return _("The FSIS 2021 chicken table asks for %(asked)s s at %(row)s °F: %(shown)s s are shown.", **values)
    return _("Of the FSIS 2021 chicken table's %(asked)s s at %(row)s °F, %(shown)s s are shown.", **values)
