"""Tracing: where the birds of a lot, load, tray, batch or reheat came from, and where they went."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from decimal import Decimal

from app.kinds import Entry, RawOut, Receiving, SpitLoaded, Subject

from ..facts import Finding
from .holders import Holder, Movement, Spit
from .kitchen import Kitchen


@dataclass(frozen=True, slots=True)
class Step:
    """One movement of birds: out of `source` into `target`, or by a way out (`to`) such as served or discarded."""

    at: datetime
    entry: Entry
    source: Subject
    target: Subject | None
    to: str
    birds: Decimal


@dataclass(frozen=True, slots=True)
class RawBirds:
    """What the records say of a lot's raw birds: accepted, put on spits, gone raw."""

    lot: str
    delivered: int
    loaded: int
    gone: int

    @property
    def not_loaded(self) -> int:
        """Birds delivered of which nothing more is on record; 0 where more were loaded than delivered."""
        return max(0, self.delivered - self.loaded - self.gone)


@dataclass(frozen=True, slots=True)
class Trace:
    """What a search found: deliveries and loadings it goes back to, and every movement, in order of time."""

    lots: tuple[str, ...]
    deliveries: tuple[Receiving, ...]
    loadings: tuple[SpitLoaded, ...]
    steps: tuple[Step, ...]
    held: tuple[tuple[Subject, Decimal], ...]
    """What still holds birds of it."""
    raw_out: tuple[RawOut, ...] = ()
    raw: tuple[RawBirds, ...] = ()
    """Of each lot that was searched for; none where something else was."""
    cold_unit: str | None = None
    """The cold unit that the records named last: where raw birds may be."""
    aside: Mapping[Step, tuple[Finding, ...]] = field(default_factory=dict)
    """The steps out of the kitchen of food that was set aside then, each with the findings that it was aside for."""


def trace_lots(kitchen: Kitchen, lots: Iterable[str]) -> Trace:
    """Follow lots forward from every spit they were loaded on; a spit or tray may hold birds of other lots too."""
    named = set(lots)
    spits = [holder.subject for holder in kitchen.holders.values() if not named.isdisjoint(_lots(holder))]
    trace = _trace(kitchen, spits, lots=named)
    return replace(
        trace,
        raw_out=tuple(entry for entry in kitchen.of_kind(RawOut) if entry.lot in named),
        raw=tuple(_raw_birds(kitchen, lot) for lot in sorted(named)),
        cold_unit=_last_cold_unit(kitchen),
    )


def _raw_birds(kitchen: Kitchen, lot: str) -> RawBirds:
    accepted = (one for one in kitchen.of_kind(Receiving) if one.lot == lot and one.decision == "accepted")
    return RawBirds(
        lot=lot,
        delivered=sum(one.birds for one in accepted),
        loaded=sum(one.birds for one in kitchen.of_kind(SpitLoaded) if one.lot == lot),
        gone=sum(one.birds for one in kitchen.of_kind(RawOut) if one.lot == lot),
    )


def _last_cold_unit(kitchen: Kitchen) -> str | None:
    """Give the cold unit that an entry named last; None where none did."""
    for entry in reversed(kitchen.entries):
        code = getattr(entry, "cold_unit", None) or getattr(entry, "unit_code", None)
        unit = None if code is None else kitchen.site.equipment.get(code)
        if unit is not None and unit.kind == "cold_unit":
            return unit.code
    return None


def trace_subject(kitchen: Kitchen, subjects: Iterable[Subject]) -> Trace:
    """Follow subjects back to their lots, and forward from there on only what passed through them."""
    return _trace(kitchen, list(subjects), lots=set())


def _trace(kitchen: Kitchen, start: Sequence[Subject], *, lots: set[str]) -> Trace:
    before = _reach(kitchen, start, lambda holder: holder.fills)
    after = _reach(kitchen, start, lambda holder: holder.outs)
    sources = before if not lots else {}
    loadings = [entry for holder in {**sources, **after}.values() for entry in _loadings(holder)]
    named = lots or {entry.lot for entry in loadings if entry.lot is not None}
    deliveries = [entry for entry in kitchen.of_kind(Receiving) if entry.lot in named]
    steps = {(step.entry.root, step.source): step for step in _steps(after.values(), None)}
    if sources:
        steps |= {(step.entry.root, step.source): step for step in _steps(sources.values(), set(sources) | set(after))}
    return Trace(
        lots=tuple(sorted(named)),
        deliveries=tuple(deliveries),
        loadings=tuple(sorted(loadings, key=_moment)),
        steps=tuple(sorted(steps.values(), key=lambda step: _moment(step.entry))),
        held=tuple((holder.subject, holder.birds_left) for holder in after.values() if holder.birds_left > 0),
    )


def _moment(entry: Entry) -> tuple[datetime, int]:
    return entry.observed_at, entry.root_seq


def _loadings(holder: Holder) -> list[SpitLoaded]:
    return holder.loadings() if isinstance(holder, Spit) else []


def _lots(holder: Holder) -> set[str]:
    return {entry.lot for entry in _loadings(holder) if entry.lot is not None}


def _reach(
    kitchen: Kitchen, start: Sequence[Subject], moves: Callable[[Holder], Sequence[Movement]]
) -> dict[Subject, Holder]:
    """Give the holders that can be reached from some, along their fills or their outs."""
    reached: dict[Subject, Holder] = {}
    waiting = list(start)
    while waiting:
        subject = waiting.pop()
        holder = kitchen.holders.get(subject)
        if holder is not None and subject not in reached:
            reached[subject] = holder
            waiting += [move.other for move in moves(holder) if move.other is not None]
    return reached


def _steps(holders: Iterable[Holder], into: set[Subject] | None) -> Iterable[Step]:
    """Give the movements out of holders; with `into`, only those into one of these."""
    for holder in holders:
        for move in holder.outs:
            if into is None or move.other in into:
                yield Step(move.at, move.entry, holder.subject, move.other, _way(move), move.birds)


def _way(move: Movement) -> str:
    to: str | None = getattr(move.entry, "to", None)
    if to is not None:
        return to
    return "discarded" if move.other is None else move.entry.kind
