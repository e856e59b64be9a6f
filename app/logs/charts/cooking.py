"""A load: what was read on each spit, against the limit, with the changes of rotation and what is expected."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from app import words
from app.kinds import OvenSetting
from app.rules.day.subjects_shown import LoadView, SpitView
from app.rules.forecasts.bird_series import by_bird_and_place
from app.rules.forecasts.forecast import Forecast
from app.rules.plans.limits import TemperatureLimit
from app.words.marking import gettext as _
from app.words.marking import ngettext

from .chart import Chart, Table
from .drawing import DASHES, INK, MARKS, Board, Clock, axis_unit, draw, limit_height, on_axis
from .expected import draw_expected

_BELOW_F, _ABOVE_F = 25, 10
"""What is shown around the limit at least."""
_SETTING_AT = 0.3
"""The share of the height at which a setting is written: under the limit and the target, and before the readings."""


@dataclass(frozen=True, slots=True)
class _Drawn:
    load: LoadView
    clock: Clock
    unit: str


def load_chart(
    load: LoadView,
    *,
    limit: TemperatureLimit,
    zone: ZoneInfo,
    settings: Sequence[OvenSetting] = (),
    forecasts: Mapping[int, Forecast] | None = None,
) -> Chart:
    """Draw a load. `settings` are its oven's entries while it cooked; `forecasts` by number of spit."""
    expected = forecasts or {}
    read = [entry for spit in load.spits for entry in spit.readings]
    moments = [load.started_at, *(e.observed_at for spit in load.spits for e in (*spit.readings, *spit.pulls))]
    moments += [at for forecast in expected.values() for at in (forecast.about, forecast.latest or forecast.about)]
    drawn = _Drawn(load, Clock.over(moments, zone), axis_unit([entry.reading for entry in read]))

    def paint(board: Board) -> None:
        board.draw_limit(limit, drawn.unit)
        _draw_target(board, load, drawn.unit)
        for spit in load.spits:
            _draw_spit(board, spit, drawn)
        board.show_around(limit_height(limit, drawn.unit), drawn.unit, below=_BELOW_F, above=_ABOVE_F)
        _draw_pulls(board, load.spits, drawn.clock)
        _draw_settings(board, settings, drawn.clock)
        _draw_forecasts(board, expected, drawn.clock, limit_height(limit, drawn.unit))
        board.top.set_ylabel(f"°{drawn.unit}")
        board.show_clock(drawn.clock)
        board.show_legend()

    title = _title(load, limit, zone)
    return Chart(
        title, lambda shape: draw(paint, shape, name=f"load-{load.load}", title=title), lambda: _table(load, zone)
    )


def _draw_target(board: Board, load: LoadView, unit: str) -> None:
    """Draw the kitchen's target as a thin broken line, so that nobody takes it for the limit."""
    targets = {spit.target for spit in load.spits if spit.target is not None}
    for target in targets:
        height = limit_height(target, unit)
        board.top.axhline(height, color=INK, linewidth=0.7, linestyle=(0, (6, 4)))
        board.write_at_right(board.top, height, _("target %(degrees)s", degrees=words.limit(target, unit)))


def _mark(spit: int) -> str:
    return MARKS[(spit - 1) % len(MARKS)]


def _draw_spit(board: Board, spit: SpitView, drawn: _Drawn) -> None:
    """Draw the readings of a spit; those of one bird and place are joined, for only they are one curve."""
    curves = by_bird_and_place(spit.readings)
    mark, label = _mark(spit.spit), _("spit %(spit)s", spit=spit.spit)
    for number, curve in enumerate(curves.values()):
        places = [drawn.clock.minute(entry.observed_at) for entry in curve]
        heights = [on_axis(entry.reading, drawn.unit) for entry in curve]
        dash = DASHES[number % len(DASHES)]
        board.top.plot(
            places, heights, dash, color=INK, marker=mark, fillstyle="none", label=label if not number else ""
        )
    if not curves:
        board.top.plot([], [], "-", color=INK, marker=mark, fillstyle="none", label=label)


def _draw_pulls(board: Board, spits: Sequence[SpitView], clock: Clock) -> None:
    """Set the mark of a spit, filled, on the lower edge where it was pulled; the first one says what that means."""
    pulls = sorted((pull.observed_at, spit.spit) for spit in spits for pull in spit.pulls)
    for at, spit in pulls:
        edge = board.top.get_xaxis_transform()
        board.top.plot(clock.minute(at), 0.04, marker=_mark(spit), color=INK, transform=edge)
    if pulls:
        board.write(_("pulled:"), clock.minute(pulls[0][0]), 0.04, before=True)


def _draw_settings(board: Board, settings: Sequence[OvenSetting], clock: Clock) -> None:
    for entry in settings:
        if entry.rotation is None or not clock.start <= entry.observed_at <= clock.end:
            continue
        text = _("rotation %(share)s %%", share=words.number(entry.rotation))
        board.draw_event(clock.minute(entry.observed_at), text, height=_SETTING_AT)


def _draw_forecasts(board: Board, expected: Mapping[int, Forecast], clock: Clock, height: float) -> None:
    for place, (number, forecast) in enumerate(expected.items()):
        draw_expected(board, forecast, clock, height, mark=_mark(number), place=place)


def _title(load: LoadView, limit: TemperatureLimit, zone: ZoneInfo) -> str:
    count = sum(len(spit.readings) for spit in load.spits)
    return ngettext(
        "Load %(load)s, started %(at)s: %(count)s reading against the limit of %(limit)s.",
        "Load %(load)s, started %(at)s: %(count)s readings against the limit of %(limit)s.",
        count,
        load=load.load,
        at=words.local_time(load.started_at, zone),
        count=count,
        limit=words.limit(limit),
    )


def _table(load: LoadView, zone: ZoneInfo) -> Table:
    rows: list[tuple[datetime, tuple[str, ...]]] = []
    for spit in load.spits:
        for entry in spit.readings:
            bird = _("%(bird)s, %(place)s", bird=entry.bird, place=words.place_word(entry.place))
            row = (words.local_time(entry.observed_at, zone), str(spit.spit), bird, words.measured(entry.reading))
            rows.append((entry.observed_at, row))
    rows.sort(key=lambda timed: timed[0])
    return Table((_("Seen"), _("Spit"), _("Bird"), _("Read")), tuple(row for _at, row in rows))
