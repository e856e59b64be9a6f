"""A unit's control chart: whether it behaves as it always did, kept apart from whether it is within its limit."""

from collections.abc import Sequence
from typing import Any
from zoneinfo import ZoneInfo

from app import words
from app.kinds import UnitCheck
from app.rules.figures.control_chart import ChartPoint, IndividualsChart, chart_points, individuals_chart
from app.rules.plans.limits import TemperatureLimit
from app.words.marking import N_, say
from app.words.marking import gettext as _

from .chart import Chart, Table
from .drawing import INK, Board, axis_unit, draw, on_axis

_SIGNALS = {
    "beyond_3_sigma": N_("beyond the control limits"),
    "two_of_three_beyond_2_sigma": N_("two of three far to one side"),
    "four_of_five_beyond_1_sigma": N_("four of five to one side"),
    "eight_on_one_side": N_("eight in a row on one side"),
    "moving_range": N_("a larger step than usual"),
}
_FEWEST, _MOST_LABELS = 2, 8


def unit_chart(
    unit_code: str, checks: Sequence[UnitCheck], *, limit: TemperatureLimit, within: Sequence[bool], zone: ZoneInfo
) -> Chart:
    """Draw a unit's checks one after another. `within` says of each what its own rule found against the limit.

    ValueError for fewer than two checks: from one nobody can tell what is usual.
    """
    if len(checks) < _FEWEST:
        raise ValueError("a control chart needs two checks or more")
    unit = axis_unit([entry.reading for entry in checks])
    values = [on_axis(entry.reading, unit) for entry in checks]
    control, points = individuals_chart(values), chart_points(values, within_limit=within)

    def paint(board: Board) -> None:
        board.draw_limit(limit, unit)
        _draw_values(board, points)
        _draw_control_limits(board, control)
        _draw_ranges(board, control)
        board.top.set_ylabel(f"°{unit}")
        _show_order(board, checks, zone)
        board.show_legend()

    title = _title(unit_code, points, limit)
    return Chart(
        title,
        lambda shape: draw(paint, shape, name=f"unit-{unit_code}", title=title, heights=(3, 1)),
        lambda: _table(checks, points, zone),
    )


def _draw_values(board: Board, points: Sequence[ChartPoint]) -> None:
    """Draw each value: its mark says whether it is within the limit, a ring around it that it is not in control."""
    board.top.plot([point.value for point in points], color=INK, linewidth=0.7)
    for within, mark, label in ((True, "o", _("within the limit")), (False, "X", _("not within the limit"))):
        _draw_some(board, [(at, p) for at, p in enumerate(points) if p.within_limit is within], mark, label)
    ringed = [(at, point) for at, point in enumerate(points) if not point.in_control]
    _draw_some(board, ringed, "o", _("not in control"), markersize=11, fillstyle="none")


def _draw_some(board: Board, some: list[tuple[int, ChartPoint]], mark: str, label: str, **style: Any) -> None:
    if some:
        heights = [point.value for _at, point in some]
        board.top.plot([at for at, _point in some], heights, mark, color=INK, label=label, **style)


def _draw_control_limits(board: Board, control: IndividualsChart) -> None:
    for height, label, dash in (
        (control.centre, _("mean"), "-"),
        (control.upper, _("usual, at most"), "--"),
        (control.lower, _("usual, at least"), "--"),
    ):
        board.top.axhline(height, color=INK, linewidth=0.7, linestyle=dash)
        board.write_at_right(board.top, height, label)


def _draw_ranges(board: Board, control: IndividualsChart) -> None:
    axes = board.panels[1]
    axes.plot(
        range(1, len(control.moving_ranges) + 1),
        control.moving_ranges,
        color=INK,
        marker="o",
        markersize=3,
        linewidth=0.7,
    )
    axes.axhline(control.moving_range_upper, color=INK, linewidth=0.7, linestyle="--")
    board.write_at_right(axes, control.moving_range_upper, _("usual, at most"))
    axes.set_ylim(0, 1.15 * max(control.moving_range_upper, *control.moving_ranges, 0.1))
    axes.locator_params(axis="y", nbins=3)
    axes.set_ylabel(_("moving\nrange"))


def _show_order(board: Board, checks: Sequence[UnitCheck], zone: ZoneInfo) -> None:
    step = -(-len(checks) // _MOST_LABELS)
    places = range(0, len(checks), step)
    local = [checks[place].observed_at.astimezone(zone) for place in places]
    board.show_below(places, [f"{words.short_day(at.date())}\n{words.time_of_day(at)}" for at in local])


def _title(unit_code: str, points: Sequence[ChartPoint], limit: TemperatureLimit) -> str:
    return _(
        "Unit %(unit)s, %(count)s checks: %(over)s not within the limit of %(limit)s; apart from that, %(unusual)s not "
        "in control. In control means that nothing unusual shows, not that the limit is met.",
        unit=unit_code,
        count=len(points),
        over=sum(not point.within_limit for point in points),
        limit=words.limit(limit),
        unusual=sum(not point.in_control for point in points),
    )


def _table(checks: Sequence[UnitCheck], points: Sequence[ChartPoint], zone: ZoneInfo) -> Table:
    rows = [
        (
            words.local_date_time(entry.observed_at, zone),
            words.measured(entry.reading),
            _("yes") if point.within_limit else _("no"),
            ", ".join(sorted(say(_SIGNALS, signal) for signal in point.signals)) or _("yes"),
        )
        for entry, point in zip(checks, points, strict=True)
    ]
    return Table((_("Seen"), _("Read"), _("Within the limit"), _("In control")), tuple(rows))
