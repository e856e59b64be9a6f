"""The kitchen as the entries tell it: what happened to each load, spit, tray, batch and reheat, in order of time."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, cast

from app.kinds import (
    BatchMoved,
    BatchOut,
    CookReading,
    CoolingReading,
    Entry,
    EquipmentBack,
    EquipmentOut,
    HoldReading,
    LoadStarted,
    OnSpit,
    ReheatDone,
    ReheatReading,
    SpitPulled,
    Subject,
    TimeControlStarted,
    TrayMoved,
    TrayOut,
)
from app.kinds.entry import K

from ..facts import Site
from ..plans import plan
from . import movements
from .holders import Batch, Holder, Load, Movement, Outage, Reheat, Spit, Tray

_ZERO = Decimal(0)


PlanAt = Callable[[datetime], plan.Plan]
_Parts = tuple[str, str, int | None]
"""Kind, name and spit. A Subject is the tuple of them, so they find what it finds: a look-up makes no Subject."""


class Kitchen:
    """Everything the effective entries say, indexed by subject."""

    def __init__(self, entries: Sequence[Entry], *, site: Site, plan_at: PlanAt) -> None:
        self.seen = entries
        """In order of time alone."""
        self.entries = entries = movements.in_order(entries)
        """What was seen a little before its tray, batch or reheat was filled right after that."""
        self.site, self.plan_at = site, plan_at
        self.loads: dict[str, Load] = {}
        self.holders: dict[Subject, Holder] = {}
        self._by_parts = cast("dict[_Parts, Holder]", self.holders)
        self.outages: dict[str, list[Outage]] = {}
        self._by_kind: dict[type[Entry], list[Any]] = defaultdict(list)
        self.spit_discards: dict[Subject, list[SpitPulled]] = {}
        self._subjects: dict[tuple[str, object, object], Subject] = {}
        self._between: dict[tuple[datetime, datetime], list[Entry]] = {}
        for index, entry in enumerate(entries):
            kind = type(entry)
            self._by_kind[kind].append(entry)
            if (taker := _TAKERS.get(kind)) is not None:
                taker(self, index, entry)
            elif kind.flows is not Entry.flows:
                self._move_birds(index, entry)
        # A spit may be seen up to two minutes before its load was started: join and drop at the end.
        for subject in [subject for subject, holder in self.holders.items() if not holder.fills]:
            del self.holders[subject]
        for subject, holder in self.holders.items():
            if isinstance(holder, Spit) and subject.name in self.loads:
                holder.plan = self.loads[subject.name].plan
                self.loads[subject.name].spits[subject.spit or 0] = holder

    def of_kind(self, kind: type[K]) -> Sequence[K]:
        """Entries of one kind in order of time."""
        return self._by_kind.get(kind, ())

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

    def reheats(self) -> Iterator[Reheat]:
        """Reheats in order of opening."""
        return (holder for holder in self.holders.values() if isinstance(holder, Reheat))

    def spit(self, entry: OnSpit) -> Spit | None:
        """The spit that an entry is about, if it was loaded by then."""
        holder = self._by_parts.get(("spit", entry.load, entry.spit))
        return holder if isinstance(holder, Spit) else None

    def tray(self, name: str) -> Tray | None:
        """The tray of that name, if it was filled by then."""
        holder = self._by_parts.get(("tray", name, None))
        return holder if isinstance(holder, Tray) else None

    def subject(self, kind: str, name: str, spit: int | None = None) -> Subject:
        """The one Subject object of that name."""
        key = (kind, name, spit)
        known = self._subjects.get(key)
        if known is None:
            known = self._subjects[key] = Subject(kind, name, spit)
        return known

    # ---- what each kind of entry adds -------------------------------------------------------------------------

    def _start_load(self, _index: int, entry: LoadStarted) -> None:
        self.loads[entry.load] = Load(entry, self.plan_at(entry.observed_at))

    def _move_birds(self, index: int, entry: Entry) -> None:
        flows, at = entry.flows(), entry.observed_at
        for place, (subject, birds, _field) in enumerate(flows):
            other = flows[1 - place].subject if len(flows) == 2 else None
            holder = self._by_parts.get(subject) or self._begin(subject, entry)
            gained = birds > _ZERO
            holder.take(Movement(at, index, entry, birds if gained else -birds, other), gained=gained)

    def _holder(self, parts: _Parts, entry: Entry) -> Holder:
        return self._by_parts.get(parts) or self._begin(Subject(*parts), entry)

    def _begin(self, subject: Subject, entry: Entry) -> Holder:
        begun = self.holders[subject] = _CLASSES[subject.kind](subject, self.plan_at(entry.observed_at))
        return begun

    def _pull(self, index: int, entry: SpitPulled) -> None:
        self._move_birds(index, entry)
        if entry.discarded_birds:
            self.spit_discards.setdefault(entry.spit_subject, []).append(entry)
        self._place(entry, entry.tray, entry.hot_unit)

    def _place(self, entry: Entry, tray_name: str | None, hot_unit: str | None) -> None:
        tray = None if tray_name is None else self.tray(tray_name)
        if tray is not None and (hot_unit is not None or not tray.moves):
            tray.moves.append((entry.observed_at, hot_unit))

    def _take_tray_out(self, index: int, entry: TrayOut) -> None:
        self._move_birds(index, entry)
        if entry.batch is not None:
            batch = self._by_parts["batch", entry.batch, None]
            if isinstance(batch, Batch):
                if entry.reading is not None:
                    batch.readings.append(entry)
                if entry.cold_unit is not None:
                    batch.moves.append((entry.observed_at, entry.cold_unit))
        elif entry.into is not None:
            self._follow_unit(entry.tray, entry.into, entry.observed_at)

    def _take_batch_out(self, index: int, entry: BatchOut) -> None:
        self._move_birds(index, entry)
        if entry.into is None:
            return
        left, filled = (self._by_parts["batch", name, None] for name in (entry.batch, entry.into))
        if isinstance(left, Batch) and isinstance(filled, Batch) and not filled.moves:
            filled.moves.append((entry.observed_at, movements.stood_at(left.moves, entry.observed_at)))

    def _follow_unit(self, source: str, target: str, at: datetime) -> None:
        filled, left = self.tray(target), self.tray(source)
        if filled is not None and left is not None and not filled.moves:
            since = max(at, left.opened_at) if left.fills else at  # a chain from outside may fill it nowhere
            filled.moves.append((at, left.unit_at(since)))

    def _finish_reheat(self, index: int, entry: ReheatDone) -> None:
        self._move_birds(index, entry)
        self._place(entry, entry.tray, entry.hot_unit)

    def _move_tray(self, _index: int, entry: TrayMoved) -> None:
        tray = self.tray(entry.tray)
        if tray is not None:
            tray.moves.append((entry.observed_at, entry.hot_unit))
            tray.history.append(entry)

    def _move_batch(self, _index: int, entry: BatchMoved) -> None:
        batch = self._by_parts.get(("batch", entry.batch, None))
        if isinstance(batch, Batch):
            batch.moves.append((entry.observed_at, entry.cold_unit))
            batch.history.append(entry)

    def _read_spit(self, _index: int, entry: CookReading) -> None:
        self._read(self._holder(("spit", entry.load, entry.spit), entry), entry)

    def _read_tray(self, index: int, entry: HoldReading) -> None:
        tray = self._holder(("tray", entry.tray, None), entry)
        if isinstance(tray, Tray):
            tray.readings.append((index, entry))
            tray.history.append(entry)

    def _read_batch(self, _index: int, entry: CoolingReading) -> None:
        self._read(self._holder(("batch", entry.batch, None), entry), entry)

    def _read_reheat(self, _index: int, entry: ReheatReading) -> None:
        self._read(self._holder(("reheat", entry.reheat, None), entry), entry)

    def _read(self, holder: Any, entry: Entry) -> None:
        holder.readings.append(entry)
        holder.history.append(entry)

    def _control(self, index: int, entry: TimeControlStarted) -> None:
        tray = self._holder(("tray", entry.tray, None), entry)
        if isinstance(tray, Tray):
            tray.history.append(entry)
            if tray.control is None:
                tray.control = (index, entry)

    def _take_out(self, _index: int, entry: EquipmentOut) -> None:
        outages = self.outages.setdefault(entry.code, [])
        if not outages or outages[-1].back is not None:  # out twice is out once
            outages.append(Outage(entry))

    def _take_back(self, _index: int, entry: EquipmentBack) -> None:
        outages = self.outages.get(entry.code, [])
        if outages and outages[-1].back is None:
            outages[-1].back = entry


_CLASSES: dict[str, type[Holder]] = {"spit": Spit, "tray": Tray, "batch": Batch, "reheat": Reheat}

_TAKERS: dict[type[Entry], Callable[[Kitchen, int, Any], None]] = {
    LoadStarted: Kitchen._start_load,
    CookReading: Kitchen._read_spit,
    SpitPulled: Kitchen._pull,
    HoldReading: Kitchen._read_tray,
    TrayMoved: Kitchen._move_tray,
    TrayOut: Kitchen._take_tray_out,
    BatchOut: Kitchen._take_batch_out,
    TimeControlStarted: Kitchen._control,
    CoolingReading: Kitchen._read_batch,
    BatchMoved: Kitchen._move_batch,
    ReheatReading: Kitchen._read_reheat,
    ReheatDone: Kitchen._finish_reheat,
    EquipmentOut: Kitchen._take_out,
    EquipmentBack: Kitchen._take_back,
}
"""What a kind adds to the history of food and equipment beside its movements of birds."""
