"""What holds birds: spits, trays, batches and reheats, each with what went in, what left it and what was read in it."""

from bisect import bisect_left
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from operator import attrgetter

from app.kinds import (
    CookReading,
    CoolingReading,
    Entry,
    EquipmentBack,
    EquipmentOut,
    HoldReading,
    LoadStarted,
    ReheatDone,
    ReheatReading,
    SpitLoaded,
    SpitPulled,
    Subject,
    TimeControlStarted,
    TrayOut,
)

from ..day.subjects_shown import SpitJudgement
from ..plans import plan
from . import movements

_ZERO = Decimal(0)
INDEX = attrgetter("index")
"""The place of a movement in the order of the day."""


@dataclass(slots=True, eq=False)
class Movement:
    """Birds in or out of one subject: the entry, its place in the order of the day, how many, from or to where."""

    at: datetime
    index: int
    entry: Entry
    birds: Decimal
    other: Subject | None = None


@dataclass(slots=True, eq=False)
class Holder:
    """Whatever holds birds: a spit, tray, batch or reheat."""

    subject: Subject
    plan: plan.Plan
    fills: list[Movement] = field(default_factory=list)
    outs: list[Movement] = field(default_factory=list)
    history: list[Entry] = field(default_factory=list)
    birds_in: Decimal = _ZERO
    birds_left: Decimal = _ZERO
    emptied: Movement | None = None
    """The movement that left none, if none is left at the end."""

    @property
    def opener(self) -> Entry:
        """The entry that opened it."""
        return self.fills[0].entry

    @property
    def opened_at(self) -> datetime:
        """When it was first filled."""
        return self.fills[0].at

    def take(self, move: Movement, *, gained: bool) -> None:
        """Book a movement, told in order of time."""
        self.history.append(move.entry)
        if gained:
            self.fills.append(move)
            self.birds_in += move.birds
            self.birds_left += move.birds
        else:
            self.outs.append(move)
            self.birds_left -= move.birds
        self.emptied = move if self.fills and self.birds_left <= _ZERO else None

    def filled_at(self, index: int) -> Movement | None:
        """Give what filled it at a place in the order of the day; None where nothing did."""
        at = bisect_left(self.fills, index, key=INDEX)
        return self.fills[at] if at < len(self.fills) and self.fills[at].index == index else None

    def birds_at(self, at: datetime) -> Decimal:
        """Birds held just before a moment."""
        if self.opened_at >= at:  # as of nearly all when the day begins
            return _ZERO
        gained = sum([move.birds for move in self.fills if move.at < at], _ZERO)
        return gained - sum([move.birds for move in self.outs if move.at < at], _ZERO)


@dataclass(slots=True, eq=False)
class Spit(Holder):
    """A spit of birds; `judgements` remembers what was already judged, by moment."""

    readings: list[CookReading] = field(default_factory=list)
    judgements: dict[datetime, SpitJudgement] = field(default_factory=dict)

    def pulls(self) -> list[SpitPulled]:
        """Its pulls, in order of time."""
        return [move.entry for move in self.outs if isinstance(move.entry, SpitPulled)]

    def loadings(self) -> list[SpitLoaded]:
        """What was loaded on it raw, in order of time; birds that came back from a tray are not among it."""
        return [move.entry for move in self.fills if isinstance(move.entry, SpitLoaded)]


@dataclass(slots=True, eq=False)
class Tray(Holder):
    """A tray in hot holding; `moves` gives its unit from a moment on, `control` the start of time as the control."""

    readings: list[tuple[int, HoldReading]] = field(default_factory=list)
    """Each with its place in the order of the day."""
    moves: list[tuple[datetime, str | None]] = field(default_factory=list)
    control: tuple[int, TimeControlStarted] | None = None

    def ways_out(self) -> list[tuple[Movement, TrayOut]]:
        """What left it, in order of time."""
        return [(move, move.entry) for move in self.outs if isinstance(move.entry, TrayOut)]

    def unit_at(self, at: datetime) -> str | None:
        """The hot-holding unit it stood in at a moment."""
        return movements.stood_at(self.moves, at)


@dataclass(slots=True, eq=False)
class Batch(Holder):
    """A chilled batch; `moves` gives its cold unit from a moment on, `product` what was prepared, by what opened it."""

    readings: list[CoolingReading | TrayOut] = field(default_factory=list)
    """A reading given when it was chilled or prepared counts as a cooling reading."""
    moves: list[tuple[datetime, str | None]] = field(default_factory=list)

    @property
    def product(self) -> str | None:
        """What was prepared, as it was last named; None for plain birds."""
        named = [product for fill in self.fills if (product := getattr(fill.entry, "product", None)) is not None]
        return named[-1] if named else None


@dataclass(slots=True, eq=False)
class Reheat(Holder):
    """Food being reheated for hot holding."""

    readings: list[ReheatReading] = field(default_factory=list)

    def dones(self) -> list[ReheatDone]:
        """What was done of it, in order of time."""
        return [move.entry for move in self.outs if isinstance(move.entry, ReheatDone)]


@dataclass(slots=True, eq=False)
class Load:
    """A load of an oven, with its spits by number."""

    opener: LoadStarted
    plan: plan.Plan
    spits: dict[int, Spit] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The load's name."""
        return self.opener.load

    @property
    def oven(self) -> str:
        """The oven it was started in."""
        return self.opener.oven


@dataclass(slots=True, eq=False)
class Outage:
    """A piece of equipment out of use, until it came back."""

    entry: EquipmentOut
    back: EquipmentBack | None = None
