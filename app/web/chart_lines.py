"""What is said under a load's chart: what is forecast for its spits, and what their readings add up to."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from app import ledger
from app.logs import pictures, words
from app.logs.words.marking import gettext as _
from app.rules import forecast, lethality
from app.rules.cook_records import record_of_view
from app.rules.facts import Entry, Temperature
from app.rules.forecast import Forecast, NoForecast
from app.rules.shown import Assessment, LoadView
from app.server import get_database

_LETHALITY_FROM = 3
"""Readings of one bird at one place from which its lethality is shown."""
_STANDARD_LOGS = 7
"""9 CFR 381.150(a)(1): the reduction of Salmonella that cooked poultry is held to."""


def spit_forecasts(day: Assessment, view: LoadView) -> Mapping[int, Forecast | NoForecast]:
    """Give for every spit of a load that still turns when it is expected to reach the limit."""
    turning = [spit for spit in view.spits if spit.birds_on]
    if not turning or not day.running:
        return {}
    limit = Temperature(day.plan.limits.cook_core.F, "F")
    with get_database().reading() as session:
        history = ledger.cooking_history(session, day.site.code, before=day.as_of, limit=limit)
    settings = pictures.oven_settings(day)
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
            lines.append(_("Spit %(spit)s: %(why)s", spit=spit, why=said))
    return [*lines, never_a_verdict()] if lines else []


def never_a_verdict() -> str:
    """Say what a forecast is not."""
    return _("A forecast is never a verdict: only a reading shows that a limit is met.")


def lethality_lines(view: LoadView) -> list[str]:
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
