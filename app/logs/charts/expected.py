"""A forecast in a chart: about when, and the range that should hold it, at the height that is to be reached."""

from app.rules.forecasts.forecast import Forecast
from app.words.marking import gettext as _

from .drawing import INK, Board, Clock

_THICKNESS = 0.05
"""Of the diagram's height."""


def draw_expected(
    board: Board, forecast: Forecast, clock: Clock, height: float, *, mark: str = "o", place: int = 0
) -> None:
    """Draw a forecast as a hatched bar over its range, open to the right where there may be no end, and its middle.

    Of several at one height each has a `place` over the one before, so that all can be read.
    """
    start, about = clock.minute(forecast.earliest), clock.minute(forecast.about)
    end = clock.minute(forecast.latest) if forecast.latest else clock.minute(clock.end)
    low, high = board.top.get_ylim()
    thickness = (high - low) * _THICKNESS
    height += 1.6 * thickness * place
    board.top.barh(
        height,
        end - start,
        left=start,
        height=thickness,
        facecolor="none",
        edgecolor=INK,
        hatch="////",
        linewidth=0.6,
        label="" if place else _("expected, about"),
    )
    board.top.plot(about, height, marker=mark, color=INK, markersize=7, fillstyle="none", label="_")
