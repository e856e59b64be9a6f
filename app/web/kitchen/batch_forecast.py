"""A batch's clock: both stages of its cooling with what is due by when, and about when it will pass each mark."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask_babel import gettext as _

from app import words
from app.kinds import Temperature, temperature_of
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import BatchView, StageView
from app.rules.facts import Verdict
from app.rules.forecasts.forecast import Forecast, NoForecast, Reason, forecast_batch
from app.rules.meaning import cooling as meaning
from app.rules.plans.limits import TemperatureLimit


@dataclass(frozen=True, slots=True)
class Mark:
    """One stage of cooling: down to where, by when, and the forecast while it is pending (never a verdict)."""

    name: str
    limit: TemperatureLimit
    stage: StageView
    forecast: Forecast | NoForecast | None

    @property
    def likely_misses(self) -> bool:
        """Whether it will rather be late than in time, or by its readings never get there."""
        if isinstance(self.forecast, Forecast):
            return self.forecast.likely_after(self.stage.due_at)
        return self.forecast is not None and self.forecast.reason is Reason.NOT_EXPECTED

    @property
    def may_miss(self) -> bool:
        """Whether the range goes beyond the moment it is due."""
        return isinstance(self.forecast, Forecast) and self.forecast.maybe_after(self.stage.due_at)


def marks_of(batch: BatchView, assessment: Assessment) -> list[Mark]:
    """Give the stages of a batch; one that was over before it was decided is not asked for."""
    names = {"first": str(_("First stage")), "total": str(_("Second stage"))}
    return [
        Mark(names[name], limit, stage, _forecast(batch, limit, assessment) if _is_open(stage, batch) else None)
        for name, limit, stage in meaning.marks(batch)
    ]


def methods() -> Sequence[str]:
    """Give the published methods of cooling faster: FDA Food Code 2022, 3-501.15."""
    return (
        _("cut the birds up: smaller or thinner portions"),
        _("shallow pans, of metal that lets the heat through"),
        _("a container stirred in a bath of ice and water"),
        _("rapid-cooling equipment"),
        _("ice as an ingredient, where the dish allows it"),
        _("apart from each other in the cold unit, loosely covered"),
    )


def likely_words(marks: Sequence[Mark]) -> str:
    """Say whether a batch is likely to miss a mark; empty where nothing points to it."""
    for mark in marks:
        values = {"limit": words.limit(mark.limit), "stage": mark.name}
        if mark.likely_misses:
            return str(_("%(stage)s: it will likely not be down to %(limit)s in time.", **values))
        if mark.may_miss:
            return str(_("%(stage)s: it may not be down to %(limit)s in time.", **values))
    return ""


def _is_open(stage: StageView, batch: BatchView) -> bool:
    return stage.verdict is Verdict.PENDING and batch.birds_left > 0


def _forecast(batch: BatchView, limit: TemperatureLimit, assessment: Assessment) -> Forecast | NoForecast:
    return forecast_batch(
        [
            (entry.observed_at, reading)
            for entry in batch.history
            if (reading := temperature_of(entry)) is not None and entry.observed_at >= batch.started_at
        ],
        mark=limit.in_f,
        surroundings=_air(batch, assessment),
        at=assessment.as_of,
    )


def warm_air(batch: BatchView, assessment: Assessment) -> Temperature | None:
    """Give the air of the batch's cold unit where it was last read over what food is to be cooled to."""
    air = _air(batch, assessment)
    return air if air is not None and meaning.is_too_warm(batch, air) else None


def _air(batch: BatchView, assessment: Assessment) -> Temperature | None:
    """Give the air of the batch's cold unit as it was last read that day."""
    unit = next((one for one in assessment.cold_units if one.unit_code == batch.cold_unit), None)
    read = [entry.reading for entry in unit.history if entry.of == "air"] if unit else []
    return read[-1] if read else None
