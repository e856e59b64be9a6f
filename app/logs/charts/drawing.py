"""The drawing board of all charts: one ink, clock times along the bottom, lines told apart by dash and mark.

The SVG carries its style as attributes and its ink as `currentColor`, so that it can stand inside a page with a strict
content security policy, in the dark and on paper. As a file of its own it brings both inks along (`Chart.file`).
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from io import StringIO
from threading import Lock
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from markupsafe import escape

from app import words
from app.kinds import Temperature
from app.rules import scales
from app.rules.plans.limits import TemperatureLimit
from app.words.marking import gettext as _

from .chart import LETTERS, Shape

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

INK = "black"
MARKS = "osD^vPX*"
"""Shapes of points, one for each series."""
DASHES = ("-", "--", "-.", ":")
_STEPS_MIN = (5, 10, 15, 30, 60, 120, 240, 480, 1440, 2880, 10080)
_MOST_TICKS = 9
_MOST_COLUMNS = 6
_LEFT, _LINE, _LETTER = 5.9, 1.375, 0.6125
"""By the size of the letters: room for the numbers at the left, of a line, and of a letter (a little over the mean)."""

_NO_METADATA = dict.fromkeys(("Date", "Creator", "Format", "Type"))
_STYLE: dict[Any, Any] = {
    "svg.fonttype": "none",
    "font.family": ["DejaVu Sans"],
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.linewidth": 0.8,
    "lines.linewidth": 1.1,
    "lines.markersize": 5,
    "hatch.linewidth": 0.5,
    "text.parse_math": False,  # a dollar sign in a name is a dollar sign
}


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

    def ticks(self, most: int = _MOST_TICKS) -> list[tuple[float, str]]:
        """Give places and labels, at round times of the kitchen's clock; hardly more than `most`."""
        length = self.minute(self.end)
        step = next((step for step in _STEPS_MIN if length / step <= most), _STEPS_MIN[-1])
        local = self.start.astimezone(self.zone)
        into_step = (local.hour * 60 + local.minute) % step + local.second / 60
        first = self.start + timedelta(minutes=step - into_step if into_step else 0)
        moments = [first + timedelta(minutes=step * count) for count in range(int(length / step) + 1)]
        return [(self.minute(at), self._label(at, step)) for at in moments if at <= self.end]

    def _label(self, at: datetime, step: int) -> str:
        return words.short_day(at.astimezone(self.zone).date()) if step >= 1440 else words.tick_time(at, self.zone)


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

    def __init__(self, figure: "Figure", heights: Sequence[int], letters: float) -> None:
        grid = figure.subplots(len(heights), 1, sharex=True, squeeze=False, height_ratios=heights)
        self.panels: list[Axes] = [row[0] for row in grid]
        self._figure = figure
        self._left, self._line, self._letter = (letters * each for each in (_LEFT, _LINE, _LETTER))
        self._at_right: list[tuple[Axes, float, str]] = []
        self._lines_above = self._lines_below = 1

    @property
    def top(self) -> "Axes":
        """The first diagram."""
        return self.panels[0]

    def show_clock(self, clock: Clock) -> None:
        """Label the time axis."""
        ticks = clock.ticks()
        self.panels[-1].set_xlim(0, clock.minute(clock.end))
        self.show_below([place for place, _label in ticks], [label for _place, label in ticks])

    def show_below(self, places: Sequence[float], labels: Sequence[str]) -> None:
        """Label places on the lower edge."""
        self.panels[-1].set_xticks(places, labels)
        self._lines_below = max((label.count("\n") + 1 for label in labels), default=1)

    def draw_limit(self, limit: TemperatureLimit, unit: str) -> None:
        """Draw a limit in the first diagram."""
        self.draw_edge(limit_height(limit, unit), _("limit %(degrees)s", degrees=words.limit(limit, unit)))

    def draw_edge(self, height: float, label: str) -> None:
        """Draw what has to be kept in the first diagram: the heaviest line, its label at the right end."""
        self.top.axhline(height, color=INK, linewidth=1.8)
        self.write_at_right(self.top, height, label)

    def show_around(self, height: float, unit: str, *, below: int, above: int) -> None:
        """Show at least so many °F below and above a height, lest a step of a degree looks like a cliff."""
        scale = 1 if unit == "F" else 5 / 9
        low, high = self.top.get_ylim()
        self.top.set_ylim(min(low, height - below * scale), max(high, height + above * scale))

    def show_legend(self) -> None:
        """Say over the first diagram what its marks stand for, if any were named."""
        named = len(self.top.get_legend_handles_labels()[0])
        if named:
            columns = min(named, _MOST_COLUMNS)
            self._lines_above = 1 + -(-named // columns)
            self.top.legend(
                loc="lower left",
                frameon=False,
                ncols=columns,
                bbox_to_anchor=(0, 1),
                borderaxespad=0.2,
                handlelength=1.6,
            )

    def write(self, text: str, place: float, height: float, *, before: bool = False) -> None:
        """Write in the first diagram, right (or left) of a place on the time axis, at a share of its height."""
        near, side = ((-6, 0), "right") if before else ((5, 0), "left")
        target = ("data", "axes fraction")
        self.top.annotate(
            text, (place, height), near, xycoords=target, textcoords="offset points", va="center", ha=side
        )

    def draw_event(self, place: float, text: str, *, height: float = 0.93, before: bool = False) -> None:
        """Draw in the first diagram that something happened: a dotted line, and beside it what it was."""
        self.top.axvline(place, color=INK, linewidth=0.7, linestyle=(0, (1, 3)))
        self.write(text, place, height, before=before)

    def write_at_right(self, axes: "Axes", height: float, label: str) -> None:
        """Have a label beside the right end of a horizontal line; `finish` writes it, clear of the others."""
        self._at_right.append((axes, height, label))

    def finish(self) -> None:
        """Give every label its room. Letters are counted: to measure them takes as long as the drawing."""
        width, height = (inches * 72 for inches in self._figure.get_size_inches())
        right = max((len(label) for _axes, _height, label in self._at_right), default=0) * self._letter + 10
        self._figure.subplots_adjust(
            left=self._left / width,
            right=1 - right / width,
            top=1 - (self._line * self._lines_above - 5) / height,
            bottom=(self._line * self._lines_below + 6) / height,
            hspace=0.12,
        )
        for axes in self.panels:
            self._write_labels(axes, self._line / (axes.get_position().height * height))

    def _write_labels(self, axes: "Axes", gap: float) -> None:
        """Write a diagram's labels from the lowest up, none nearer to the one below than `gap`."""
        low, high = axes.get_ylim()
        lowest = -1.0
        for _axes, height, label in sorted(one for one in self._at_right if one[0] is axes):
            lowest = max(lowest + gap, (height - low) / (high - low))
            axes.annotate(label, (1, lowest), (5, 0), xycoords="axes fraction", textcoords="offset points", va="center")


_ONE_AT_A_TIME = Lock()
"""The drawing library keeps its style for the whole process."""


def draw(paint: Callable[[Board], None], shape: Shape, *, name: str, title: str, heights: Sequence[int] = (1,)) -> str:
    """Give as SVG what `paint` puts on a board of diagrams with these relative heights.

    `title` is its alternative text; `name` keeps its ids apart from those of another drawing on the same page.
    """
    # Imported here: it takes most of a second, and few pages draw.
    import matplotlib as mpl
    from matplotlib.figure import Figure

    target = StringIO()
    with _ONE_AT_A_TIME, mpl.rc_context({**_STYLE, "font.size": shape.letters, "svg.hashsalt": name}):
        width, height = shape.size(len(heights))
        figure = Figure(figsize=(width / 72, height / 72))
        board = Board(figure, heights, shape.letters)
        paint(board)
        board.finish()
        figure.savefig(target, format="svg", metadata=_NO_METADATA, transparent=True)
    return _cleaned(target.getvalue(), title)


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
    letters = f'font-family="{LETTERS}"'
    svg = _ROOT.sub(rf'<svg {names} class="drawing" role="img" {ink} {letters} \1>', svg, count=1)
    start = svg.index(">") + 1
    return f"{svg[:start]}<title>{escape(title)}</title>{svg[start:]}"


def _as_attributes(style: re.Match[str]) -> str:
    pairs = ([side.strip() for side in part.split(":", 1)] for part in style.group(1).split(";") if part.strip())
    return "".join(f' {name}="{_ink(value)}"' for name, value in pairs if name != "font-family")


def _ink(value: str) -> str:
    return "currentColor" if value == "#000000" else value
