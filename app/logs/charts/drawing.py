"""The drawing board of all charts: one ink, clock times along the bottom, lines told apart by dash and mark.

The SVG carries its style as attributes and its ink as `currentColor`, so that it can stand inside a page with a strict
content security policy, in the dark and on paper.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import StringIO
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from markupsafe import escape

from app.logs import words
from app.logs.words.marking import gettext as _
from app.rules import scales
from app.rules.facts import Temperature
from app.rules.limits import TemperatureLimit

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "black"
MARKS = "osD^vPX*"
"""Shapes of points, one for each series."""
DASHES = ("-", "--", "-.", ":")
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240, 480, 1440, 2880, 10080)
_MOST_TICKS = 9
_WIDTH_IN, _HEIGHT_IN = 7.2, 2.6

_NO_METADATA = dict.fromkeys(("Date", "Creator", "Format", "Type"))
_STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "font.family": ["DejaVu Sans"],
    "font.size": 8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "lines.linewidth": 1.1,
    "lines.markersize": 5,
    "hatch.linewidth": 0.5,
    "text.parse_math": False,  # a dollar sign in a name is a dollar sign
}


@dataclass(frozen=True, slots=True)
class Table:
    """The numbers of a chart, for whoever cannot see it or wants to read them: as they were read, not as drawn."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing, what it shows in one sentence (its alternative text), and its numbers. A template prints it as SVG."""

    title: str
    svg: str
    table: Table

    def __html__(self) -> str:
        """Give the SVG; the texts in it were escaped when it was drawn."""
        return self.svg


@dataclass(frozen=True, slots=True)
class Clock:
    """The time axis: minutes that went by since `start`, labelled with the kitchen's clock."""

    start: datetime
    end: datetime
    zone: ZoneInfo

    @classmethod
    def over(cls, moments: Iterable[datetime], zone: ZoneInfo) -> "Clock":
        """Give an axis from the first to the last of some moments, with a little room."""
        first, last = min(moments := list(moments)), max(moments)
        room = max((last - first) / 20, timedelta(minutes=2))
        return cls(first - room, last + room, zone)

    def minute(self, at: datetime) -> float:
        """Give a moment's place on the axis."""
        return (at - self.start).total_seconds() / 60

    def ticks(self) -> list[tuple[float, str]]:
        """Give places and labels, at round times of the kitchen's clock."""
        length = self.minute(self.end)
        step = next((step for step in _STEPS_MIN if length / step <= _MOST_TICKS), _STEPS_MIN[-1])
        local = self.start.astimezone(self.zone)
        into_step = (local.hour * 60 + local.minute) % step + local.second / 60
        first = self.start + timedelta(minutes=step - into_step if into_step else 0)
        moments = [first + timedelta(minutes=step * count) for count in range(int(length / step) + 1)]
        return [(self.minute(at), self._label(at, step)) for at in moments if at <= self.end]

    def _label(self, at: datetime, step: int) -> str:
        return words.short_day(at.astimezone(self.zone).date()) if step >= 1440 else words.local_time(at, self.zone)


def axis_unit(readings: Sequence[Temperature]) -> str:
    """Give the unit of the temperature axis: the one that most readings were taken in."""
    fahrenheit = sum(reading.unit == "F" for reading in readings)
    return "F" if fahrenheit * 2 >= len(readings) else "C"


def on_axis(reading: Temperature, unit: str) -> float:
    """Give a reading's height on the axis; converted for the eye only, no verdict rests on it."""
    return float(scales.in_fahrenheit(reading) if unit == "F" else scales.in_celsius(reading))


def limit_height(limit: TemperatureLimit, unit: str) -> float:
    """Give a limit's height, as its source prints it in that unit."""
    return float(limit.in_unit(unit))


class Board:
    """A drawing in the making; `panels` are its diagrams from top to bottom, with one time axis."""

    def __init__(self, figure: "Figure", heights: Sequence[int]) -> None:
        grid = figure.subplots(len(heights), 1, sharex=True, squeeze=False, height_ratios=heights)
        self.panels: list[Axes] = [row[0] for row in grid]

    @property
    def top(self) -> "Axes":
        """The first diagram."""
        return self.panels[0]

    def show_clock(self, clock: Clock) -> None:
        """Label the time axis."""
        ticks = clock.ticks()
        axes = self.panels[-1]
        axes.set_xlim(0, clock.minute(clock.end))
        axes.set_xticks([place for place, _label in ticks], [label for _place, label in ticks])

    def draw_limit(self, limit: TemperatureLimit, unit: str) -> None:
        """Draw a limit in the first diagram."""
        self.draw_edge(limit_height(limit, unit), _("limit %(degrees)s", degrees=words.limit(limit, unit)))

    def draw_edge(self, height: float, label: str) -> None:
        """Draw what has to be kept in the first diagram: the heaviest line, its label at the right end."""
        self.top.axhline(height, color=INK, linewidth=1.8)
        write_at_right(self.top, height, label)

    def show_legend(self) -> None:
        """Say over the first diagram what its marks stand for, if any were named."""
        named = len(self.top.get_legend_handles_labels()[0])
        if named:
            self.top.legend(loc="lower left", frameon=False, ncols=min(named, 6), bbox_to_anchor=(0, 1))

    def write(self, text: str, place: float, height: float) -> None:
        """Write in the first diagram, right of a place on the time axis, at a share of the diagram's height."""
        target, near = ("data", "axes fraction"), (5, 0)
        self.top.annotate(text, (place, height), near, xycoords=target, textcoords="offset points", va="center")


def draw(paint: Callable[[Board], None], *, name: str, title: str, heights: Sequence[int] = (1,)) -> str:
    """Give as SVG what `paint` puts on a board of diagrams with these relative heights.

    `title` is its alternative text; `name` keeps its ids apart from those of another drawing on the same page.
    """
    # Imported here: it takes most of a second, and few pages draw.
    import matplotlib as mpl
    from matplotlib.figure import Figure

    target = StringIO()
    with mpl.rc_context({**_STYLE, "svg.hashsalt": name}):
        figure = Figure(figsize=(_WIDTH_IN, _HEIGHT_IN + 0.5 * (len(heights) - 1)), layout="constrained")
        paint(Board(figure, heights))
        figure.savefig(target, format="svg", metadata=_NO_METADATA, transparent=True)
    return _cleaned(target.getvalue(), title)


def write_at_right(axes: "Axes", height: float, label: str) -> None:
    """Write a label beside the right end of a horizontal line."""
    axes.annotate(label, (1.01, height), xycoords=("axes fraction", "data"), va="center", annotation_clip=False)


_STYLE_ATTRIBUTE = re.compile(r' style="([^"]*)"')
_GROUP_ID = re.compile(r'<g id="[^"]*"')
_ROOT = re.compile(r'<svg [^>]*?(viewBox="[^"]*")[^>]*>')
_UNWANTED = re.compile(r"<defs>\s*<style.*?</style>\s*</defs>|<metadata>.*?</metadata>", re.DOTALL)


def _cleaned(svg: str, title: str) -> str:
    """Put the title first, style into attributes, ink into currentColor, and leave out what nothing refers to."""
    svg = _UNWANTED.sub("", svg[svg.index("<svg") :])
    svg = _GROUP_ID.sub("<g", svg)
    svg = _STYLE_ATTRIBUTE.sub(_as_attributes, svg)
    names = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
    ink = 'fill="currentColor" stroke-linejoin="round" stroke-linecap="butt"'
    svg = _ROOT.sub(rf'<svg {names} class="drawing" role="img" {ink} \1>', svg, count=1)
    start = svg.index(">") + 1
    return f"{svg[:start]}<title>{escape(title)}</title>{svg[start:]}"


def _as_attributes(style: re.Match[str]) -> str:
    pairs = (part.partition(":") for part in style.group(1).split(";") if part.strip())
    return "".join(f' {name.strip()}="{_ink(value.strip())}"' for name, _colon, value in pairs)


def _ink(value: str) -> str:
    return "currentColor" if value == "#000000" else value.replace("'", "")
