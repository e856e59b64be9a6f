"""The kitchen as the entries tell it: what happened to each load, spit, tray, batch and reheat, in order of time."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal

from app.kinds import Entry, Subject

from ..day.shown import SpitJudgement
from ..facts import Site
from ..plans import plan
from . import movements

_ZERO = Decimal(0)


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
    readings: list[tuple[int, Entry]] = field(default_factory=list)
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
        (self.fills if gained else self.outs).append(move)
        self.history.append(move.entry)
        if gained:
            self.birds_in += move.birds
        self.birds_left += move.birds if gained else -move.birds
        self.emptied = move if self.fills and self.birds_left <= 0 else None

    def birds_at(self, at: datetime) -> Decimal:
        """Birds held just before a moment."""
        gained = sum((move.birds for move in self.fills if move.at < at), _ZERO)
        return gained - sum((move.birds for move in self.outs if move.at < at), _ZERO)


@dataclass(slots=True, eq=False)
class Spit(Holder):
    """A spit of birds; `judgements` remembers what was already judged, by moment."""

    judgements: dict[datetime, SpitJudgement] = field(default_factory=dict)


@dataclass(slots=True, eq=False)
class Tray(Holder):
    """A tray in hot holding; `moves` gives its unit from a moment on, `control` the start of time as the control."""

    moves: list[tuple[datetime, str | None]] = field(default_factory=list)
    control: tuple[int, Entry] | None = None

    def unit_at(self, at: datetime) -> str | None:
        """The hot-holding unit it stood in at a moment."""
        return movements.stood_at(self.moves, at)


@dataclass(slots=True, eq=False)
class Batch(Holder):
    """A chilled batch; `moves` gives its cold unit from a moment on."""

    moves: list[tuple[datetime, str | None]] = field(default_factory=list)


@dataclass(slots=True, eq=False)
class Load:
    """A load of an oven, with its spits by number."""

    opener: Entry
    oven: str
    plan: plan.Plan
    spits: dict[int, Spit] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The load's name."""
        return str(self.opener.fields["load"])


@dataclass(slots=True, eq=False)
class Outage:
    """A piece of equipment out of use, until it came back."""

    entry: Entry
    back: Entry | None = None


PlanAt = Callable[[datetime], plan.Plan]


class Kitchen:
    """Everything the effective entries say, indexed by subject."""

    def __init__(self, entries: Sequence[Entry], *, site: Site, plan_at: PlanAt) -> None:
        self.entries = entries = movements.in_order(entries)
        self.site, self.plan_at = site, plan_at
        self.loads: dict[str, Load] = {}
        self.holders: dict[Subject, Holder] = {}
        self.outages: dict[str, list[Outage]] = {}
        self.by_kind: dict[str, list[Entry]] = defaultdict(list)
        self.spit_discards: dict[Subject, list[Entry]] = {}
        self._subjects: dict[tuple[str, object, object], Subject] = {}
        self._between: dict[tuple[datetime, datetime], list[Entry]] = {}
        for index, entry in enumerate(entries):
            self.by_kind[entry.kind].append(entry)
            if (taker := _TAKERS.get(entry.kind)) is not None:
                taker(self, index, entry)
        # A spit may be seen up to two minutes before its load was started: join and drop at the end.
        self.holders = {subject: holder for subject, holder in self.holders.items() if holder.fills}
        for subject, holder in self.holders.items():
            if isinstance(holder, Spit) and subject.name in self.loads:
                holder.plan = self.loads[subject.name].plan
                self.loads[subject.name].spits[subject.spit or 0] = holder

    def of_kind(self, kind: str) -> Sequence[Entry]:
        """Entries of one kind in order of time."""
        return self.by_kind.get(kind, ())

    def seen_between(self, starts_at: datetime, ends_at: datetime) -> Sequence[Entry]:
        """Entries seen from one moment until just before another, in order of time."""
        bounds = (starts_at, ends_at)
        if bounds not in self._between:
            self._between[bounds] = [e for e in self.entries if starts_at <= e.observed_at < ends_at]
        return self._between[bounds]

    def trays(self) -> Iterator[Tray]:
        """Trays in order of opening."""
        return (holder for holder in self.holders.values() if isinstance(holder, Tray))

    def batches(self) -> Iterator[Batch]:
        """Batches in order of opening."""
        return (holder for holder in self.holders.values() if isinstance(holder, Batch))

    def reheats(self) -> Iterator[Holder]:
        """Reheats in order of opening."""
        return (holder for holder in self.holders.values() if holder.subject.kind == "reheat")

    def spit(self, entry: Entry) -> Spit | None:
        """The spit that an entry names, if it was loaded by then."""
        holder = self.holders.get(self._spit(entry))
        return holder if isinstance(holder, Spit) else None

    def tray(self, name: str) -> Tray | None:
        """The tray of that name, if it was filled by then."""
        holder = self.holders.get(self.subject("tray", name))
        return holder if isinstance(holder, Tray) else None

    def subject(self, kind: str, name: str, spit: int | None = None) -> Subject:
        """The one Subject object of that name."""
        key = (kind, name, spit)
        known = self._subjects.get(key)
        if known is None:
            known = self._subjects[key] = Subject(kind, name, spit)
        return known

    # ---- what each kind of entry adds -------------------------------------------------------------------------

    def _take_load(self, _index: int, entry: Entry) -> None:
        fields = entry.fields
        self.loads[fields["load"]] = Load(entry, fields["oven"], self.plan_at(entry.observed_at))

    def _move_birds(self, index: int, entry: Entry) -> None:
        steps = movements.flows(entry)
        for place, flow in enumerate(steps):
            other = steps[1 - place].subject if len(steps) == 2 else None
            move = Movement(entry.observed_at, index, entry, abs(flow.birds), other)
            self._holder(flow.subject, entry).take(move, gained=flow.birds > 0)

    def _holder(self, subject: Subject, entry: Entry) -> Holder:
        known = self.holders.get(subject)
        if known is None:
            known = self.holders[subject] = _CLASSES[subject.kind](subject, self.plan_at(entry.observed_at))
        return known

    def _take_pull(self, index: int, entry: Entry) -> None:
        self._move_birds(index, entry)
        if entry.fields.get("discarded_birds"):
            self.spit_discards.setdefault(self._spit(entry), []).append(entry)
        self._place(entry)

    def _spit(self, entry: Entry) -> Subject:
        return self.subject("spit", entry.fields["load"], entry.fields["spit"])

    def _place(self, entry: Entry) -> None:
        tray = self.holders.get(self.subject("tray", entry.fields.get("tray", "")))
        if isinstance(tray, Tray) and ("hot_unit" in entry.fields or not tray.moves):
            tray.moves.append((entry.observed_at, entry.fields.get("hot_unit")))

    def _take_tray_out(self, index: int, entry: Entry) -> None:
        self._move_birds(index, entry)
        fields = entry.fields
        if fields["to"] == "chilled":
            batch = self.holders[self.subject("batch", fields["batch"])]
            if "temperature" in fields:
                batch.readings.append((index, entry))
            self._move_batch(index, entry)
        elif fields["to"] == "other_tray":
            self._follow_unit(fields["tray"], fields["into"], entry.observed_at)

    def _follow_unit(self, source: str, target: str, at: datetime) -> None:
        filled, left = self.tray(target), self.tray(source)
        if filled is not None and left is not None and not filled.moves:
            filled.moves.append((at, left.unit_at(max(at, left.opened_at))))

    def _take_reheat_done(self, index: int, entry: Entry) -> None:
        self._move_birds(index, entry)
        self._place(entry)

    def _move_tray(self, _index: int, entry: Entry) -> None:
        tray = self.tray(entry.fields["tray"])
        if tray is not None:
            tray.moves.append((entry.observed_at, entry.fields["hot_unit"]))
            tray.history.append(entry)

    def _move_batch(self, _index: int, entry: Entry) -> None:
        batch = self.holders.get(self.subject("batch", entry.fields["batch"]))
        if isinstance(batch, Batch) and "cold_unit" in entry.fields:
            batch.moves.append((entry.observed_at, entry.fields["cold_unit"]))
        if batch is not None and entry.kind == "batch_moved":
            batch.history.append(entry)

    def _read(self, kind: str, index: int, entry: Entry) -> None:
        subject = self._spit(entry) if kind == "spit" else self.subject(kind, entry.fields[kind])
        holder = self._holder(subject, entry)
        holder.readings.append((index, entry))
        holder.history.append(entry)

    def _control(self, index: int, entry: Entry) -> None:
        tray = self._holder(self.subject("tray", entry.fields["tray"]), entry)
        if isinstance(tray, Tray):
            tray.history.append(entry)
            if tray.control is None:
                tray.control = (index, entry)

    def _take_out(self, _index: int, entry: Entry) -> None:
        outages = self.outages.setdefault(entry.fields["code"], [])
        if not outages or outages[-1].back is not None:  # out twice is out once
            outages.append(Outage(entry))

    def _take_back(self, _index: int, entry: Entry) -> None:
        outages = self.outages.get(entry.fields["code"], [])
        if outages and outages[-1].back is None:
            outages[-1].back = entry


_CLASSES: dict[str, type[Holder]] = {"spit": Spit, "tray": Tray, "batch": Batch, "reheat": Holder}

_Taker = Callable[[Kitchen, int, Entry], None]


def _reading(kind: str) -> _Taker:
    return lambda kitchen, index, entry: kitchen._read(kind, index, entry)


_TAKERS: dict[str, _Taker] = {
    "load_started": Kitchen._take_load,
    "spit_loaded": Kitchen._move_birds,
    "cook_reading": _reading("spit"),
    "spit_pulled": Kitchen._take_pull,
    "hold_reading": _reading("tray"),
    "tray_moved": Kitchen._move_tray,
    "tray_out": Kitchen._take_tray_out,
    "time_control_started": Kitchen._control,
    "cooling_reading": _reading("batch"),
    "batch_moved": Kitchen._move_batch,
    "batch_out": Kitchen._move_birds,
    "reheat_started": Kitchen._move_birds,
    "reheat_reading": _reading("reheat"),
    "reheat_done": Kitchen._take_reheat_done,
    "equipment_out": Kitchen._take_out,
    "equipment_back": Kitchen._take_back,
}
