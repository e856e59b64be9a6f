"""Which charts belong to a day: what there is to draw of each subject, and what of it asks to be looked at."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from app.kinds import OvenSetting, Subject, of_kind, temperature_of
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import BatchView, ColdUnitView, LoadView, ProbeView, TrayView
from app.rules.facts import Verdict
from app.rules.forecasts.forecast import Forecast
from app.rules.history.versions import effective
from app.rules.meaning import cooking, holding
from app.words.marking import N_
from app.words.marking import gettext as _

from . import charts
from .charts import Chart

_LINKS = {
    "load": N_("Chart of load %(name)s"),
    "tray": N_("Chart of tray %(name)s"),
    "batch": N_("Chart of batch %(name)s"),
    "probe": N_("Chart of probe %(name)s"),
    "unit": N_("Chart of unit %(name)s"),
}
_WORTH_DRAWING = 2
"""Readings from which a batch's cooling is a line."""
_NOT_ALL_WELL = (Verdict.NOT_MET, Verdict.NOT_SHOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartPlace:
    """The place of a subject's chart in a block: nothing is drawn before somebody asks for it.

    `stands_out`: it is drawn on the day's page, to the others a link leads. `is_printed`: the log has it. `says` is its
    alternative.
    Without `chart` it rests on entries of other days, too: on screen only, for a log is checked by its own entries.
    """

    kind: str
    name: str
    says: str
    stands_out: bool
    is_printed: bool = False
    chart: Chart | None = None

    @property
    def link(self) -> str:
        """What leads to the chart's page."""
        return _(_LINKS[self.kind], name=self.name)

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the drawing, so that a page keeps its place free."""
        return charts.ON_SCREEN.size(charts.PANELS[self.kind])


def load_chart(load: LoadView, day: Assessment, forecasts: Mapping[int, Forecast] | None = None) -> Chart:
    """Chart a load as the limit of its own plan judges it, with the settings of its oven."""
    return charts.load_chart(
        load,
        limit=cooking.core_limit(load),
        zone=day.site.timezone,
        settings=[entry for entry in oven_settings(day) if entry.oven == load.oven],
        forecasts=forecasts,
    )


def oven_settings(day: Assessment) -> list[OvenSetting]:
    """Give the day's oven settings that count, in order of time."""
    return of_kind(effective(day.entries, as_of=day.as_of), OvenSetting)


def tray_chart(tray: TrayView, day: Assessment, forecast: Forecast | None = None) -> Chart:
    """Chart a tray's life against the limit of its own plan."""
    return charts.tray_chart(tray, limit=holding.hold_limit(tray), zone=day.site.timezone, forecast=forecast)


def batch_chart(batch: BatchView, day: Assessment, forecasts: Sequence[Forecast | None] = (None, None)) -> Chart:
    """Chart a batch's cooling against the marks of its own plan."""
    return charts.batch_chart(batch, zone=day.site.timezone, forecasts=forecasts)


def of_load(load: LoadView, day: Assessment) -> tuple[ChartPlace, ...]:
    """Give the place of a load's chart, once something was read; begun before this day it belongs to that one.

    It is printed where not all was well with a spit: the log draws every spit with its readings besides.
    """
    if not any(spit.readings for spit in load.spits):
        return ()
    chart, today = load_chart(load, day), load.started_at >= day.starts_at
    bad = today and any(spit.verdict in _NOT_ALL_WELL for spit in load.spits)
    return (_place("load", load.load, chart, stands_out=today, is_printed=bad),)


def _place(kind: str, name: str, chart: Chart, *, stands_out: bool, is_printed: bool) -> ChartPlace:
    return ChartPlace(kind=kind, name=name, says=chart.title, stands_out=stands_out, is_printed=is_printed, chart=chart)


def of_tray(tray: TrayView, day: Assessment) -> tuple[ChartPlace, ...]:
    """Give the place of a tray's chart, once it was read; it stands out where not all was well with it."""
    if not any(entry.kind == "hold_reading" for entry in tray.history):
        return ()
    chart, bad = tray_chart(tray, day), tray.verdict in _NOT_ALL_WELL
    return (_place("tray", tray.tray, chart, stands_out=bad, is_printed=bad),)


def of_batch(batch: BatchView, day: Assessment) -> tuple[ChartPlace, ...]:
    """Give the place of a batch's chart; it stands out where it cooled on this day and more than once was read."""
    readings = sum(temperature_of(entry) is not None for entry in batch.history)
    if not readings:
        return ()
    chart = batch_chart(batch, day)
    cooled = readings >= _WORTH_DRAWING and batch.started_at >= day.starts_at
    return (_place("batch", batch.batch, chart, stands_out=cooled, is_printed=cooled),)


def of_probe(probe: ProbeView, day: Assessment) -> tuple[ChartPlace, ...]:
    """Give the place of a probe's chart, once it was checked; it stands out where it failed on this day."""
    failed = any(one.rule == "probe.accuracy" and one.subject.name == probe.probe for one in day.findings)
    says = _("Probe %(probe)s: how far off it read in the two months until this day.", probe=probe.probe)
    return (ChartPlace(kind="probe", name=probe.probe, says=says, stands_out=failed),) if probe.checks else ()


def of_cold_unit(unit: ColdUnitView) -> tuple[ChartPlace, ...]:
    """Give the place of a cold unit's chart, once it was read; it stands out where food or air was too warm."""
    return (_unit(unit.unit_code, stands_out=unit.verdict is Verdict.NOT_MET),) if unit.history else ()


def of_hot_unit(code: str, day: Assessment) -> ChartPlace:
    """Give the place of a hot-holding unit's chart; it stands out where its air was too cool."""
    return _unit(code, stands_out=any(one.subject == Subject("hot_unit", code) for one in day.findings))


def _unit(code: str, *, stands_out: bool) -> ChartPlace:
    says = _(
        "Unit %(unit)s: its checks in the two months until this day, what is usual and what the limit is.", unit=code
    )
    return ChartPlace(kind="unit", name=code, says=says, stands_out=stands_out)
