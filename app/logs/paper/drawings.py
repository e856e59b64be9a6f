"""The drawings of the printed log, in points: a spit with its birds and their readings, a tray on the hours of the day.

The template draws them; here is where everything stands.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from app import words
from app.kinds import HoldReading, of_kind
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import TrayView
from app.words.marking import gettext as _

from ..charts.drawing import Clock
from ..drawings import BirdDrawn, Rod

_HOUR = timedelta(hours=1)


# ---- a spit ---------------------------------------------------------------------------------------------------------

SPIT_WIDTH = 228
_ROD, _GAP, _PLAIN, _DIGIT, _FRAME = 4, 3, 9, 5.8, 8
"""The rod beyond the birds, between two birds, a bird without a number, a digit of 9 pt, and the frame around them."""


@dataclass(frozen=True, slots=True)
class BirdMark:
    """A bird on its spit, the first nearest the drive end; `text` is its reading, if there is room for it."""

    left: float
    width: float
    text: str
    state: str
    """unread, low, good or gone."""
    is_lowest: bool


@dataclass(frozen=True, slots=True)
class SpitDrawing:
    """A spit; `says` is its alternative text."""

    width: float
    birds: tuple[BirdMark, ...]
    says: str


def place_spit(rod: Rod) -> SpitDrawing:
    """Place a spit's birds with their readings; where there is no room for all, the coolest keep their number."""
    read = sorted((bird for bird in rod.birds if bird.reading), key=_coolest)
    room: float = SPIT_WIDTH - 2 * _ROD - len(rod.birds) * (_PLAIN + _GAP)
    texts: dict[int, str] = {}
    for bird in read:
        text = words.number(bird.reading.value) if bird.reading else ""
        room -= _width(text) - _PLAIN
        if room >= 0:
            texts[bird.bird] = text
    marks, left = [], float(_ROD)
    for bird in rod.birds:
        text = texts.get(bird.bird, "")
        marks.append(BirdMark(left, _width(text), text, bird.state, read[:1] == [bird]))
        left += marks[-1].width + _GAP
    return SpitDrawing(left - _GAP + _ROD, tuple(marks), _says(rod.spit, rod.birds))


def _coolest(bird: BirdDrawn) -> float:
    return float(bird.reading.celsius) if bird.reading else 0


def _width(text: str) -> float:
    return len(text) * _DIGIT + _FRAME if text else _PLAIN


def _says(spit: int, birds: Iterable[BirdDrawn]) -> str:
    read = [
        _("bird %(bird)s: %(reading)s", bird=bird.bird, reading=words.measured(bird.reading))
        for bird in birds
        if bird.reading
    ]
    return _("Spit %(spit)s. %(read)s", spit=spit, read="; ".join(read) or _("no bird probed"))


# ---- a tray ---------------------------------------------------------------------------------------------------------

LINE_WIDTH = 110
_MOST_LABELS = 4


@dataclass(frozen=True, slots=True)
class TrayLine:
    """A tray's time in hot holding: from `start` to `end`, where it was read, and where it was out of temperature."""

    start: float
    end: float
    readings: tuple[float, ...]
    out: tuple[tuple[float, float], ...]
    is_emptied: bool
    says: str


class TimeAxis:
    """The hours of a day on which all its trays are drawn."""

    def __init__(self, assessment: Assessment) -> None:
        self._day = assessment
        moments = [at for tray in assessment.trays for at in (tray.opened_at, _last(tray, assessment))]
        within = [min(max(at, assessment.starts_at), assessment.ends_at) for at in moments]
        first, last = min(within, default=assessment.starts_at), max(within, default=assessment.starts_at + _HOUR)
        self._clock = Clock(first - _HOUR / 4, max(last, first + _HOUR), assessment.site.timezone)
        self._length = self._clock.minute(self._clock.end)

    @property
    def labels(self) -> tuple[tuple[float, str], ...]:
        """Round times of the kitchen's clock, and where the middle of each stands; none runs into another."""
        found: list[tuple[float, str]] = []
        free = 0.0
        for minute, label in self._clock.ticks(_MOST_LABELS):
            place, half = self._at(minute), _DIGIT * len(label) / 2
            if place - half >= free and place + half <= LINE_WIDTH:
                found.append((place, label))
                free = place + half + _GAP
        return tuple(found)

    def draw(self, tray: TrayView) -> TrayLine:
        """Place a tray on the axis; what lies on other days stands at its ends."""
        day, last = self._day, _last(tray, self._day)
        readings = [entry.observed_at for entry in of_kind(tray.history, HoldReading)]
        lows = (f for f in day.findings if f.rule == "hold.temperature" and f.subject.name == tray.tray)
        out = tuple((self._place(low.measured["since"]), self._place(low.ended_at or last)) for low in lows)
        return TrayLine(
            start=self._place(tray.opened_at),
            end=self._place(last),
            readings=tuple(self._place(at) for at in readings if day.starts_at <= at < day.ends_at),
            out=out,
            is_emptied=not tray.birds_left,
            says=_("Tray %(tray)s on the clock of the day", tray=tray.tray),
        )

    def _place(self, at: datetime) -> float:
        return self._at(self._clock.minute(at))

    def _at(self, minute: float) -> float:
        return round(min(max(minute / self._length, 0), 1) * LINE_WIDTH, 1)


def _last(tray: TrayView, assessment: Assessment) -> datetime:
    """Give when a tray was emptied, or the latest moment that the day knows of it."""
    last = tray.history[-1].observed_at
    return last if not tray.birds_left else max(last, min(assessment.as_of, assessment.ends_at))
