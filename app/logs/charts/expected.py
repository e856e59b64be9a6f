"""A forecast in a chart: about when, and the range that should hold it, at the height that is to be reached."""

from app.rules.forecast import Forecast

from .drawing import INK, Board, Clock


def draw_expected(board: Board, forecast: Forecast, clock: Clock, height: float, *, mark: str = "o") -> None:
    """Draw a forecast as a hatched bar over its range, open to the right where there may be no end, and its middle."""
    start, about = clock.minute(forecast.earliest), clock.minute(forecast.about)
    end = clock.minute(forecast.latest) if forecast.latest else clock.minute(clock.end)
    low, high = board.top.get_ylim()
    thickness = (high - low) * 0.05
    board.top.barh(
        height, end - start, left=start, height=thickness, facecolor="none", edgecolor=INK, hatch="////", linewidth=0.6
    )
    board.top.plot(about, height, marker=mark, color=INK, markersize=7, fillstyle="none", label="_")
