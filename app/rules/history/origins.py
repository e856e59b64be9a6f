"""Which food a finding is about: what was in its subject, or was taken out of it. A rule declares one of these."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime

from app.kinds import ReheatDone, SpitPulled

from ..facts import Finding
from .following import Place, Timeline, outs_named
from .holders import Holder, Load, Movement, Spit
from .kitchen import Kitchen

Start = tuple[Holder, Place, datetime]
Origin = tuple[Sequence[Movement], Sequence[Start]]
"""What was taken out by certain movements, and what was in certain holders from a place in the order on."""
FoodOf = Callable[[Timeline, Finding, Place], Origin]
"""Gives the food of a finding; the place is that of its onset."""


def what_is_there(timeline: Timeline, finding: Finding, onset: Place) -> Origin:
    """What is in the subject from the onset on."""
    return [], [(holder, onset, finding.onset_at) for holder in _holders(timeline.kitchen, finding)]


def what_left(timeline: Timeline, finding: Finding, _onset: Place) -> Origin:
    """What left the subject by the pulls, reheats or ways out that the finding names."""
    holders = _holders(timeline.kitchen, finding)
    return [move for holder in holders for move in outs_named(holder, finding.entries)], []


def what_was_pulled(timeline: Timeline, finding: Finding, _onset: Place) -> Origin:
    """All that was ever pulled from the subject."""
    return _pulls(_holders(timeline.kitchen, finding)), []


def what_was_pulled_since(timeline: Timeline, finding: Finding, _onset: Place) -> Origin:
    """What was pulled from the onset on."""
    moves = _pulls(_holders(timeline.kitchen, finding))
    return [move for move in moves if move.at >= finding.onset_at], []


def what_was_pulled_of_the_lot(timeline: Timeline, finding: Finding, _onset: Place) -> Origin:
    """What was pulled from spits that carried the lot."""
    lot, load = finding.measured.get("lot"), timeline.kitchen.loads.get(finding.subject.name)
    return [move for spit in _spits(load) for move in _pulled_with(spit, lot)], []


def what_is_there_and_was_pulled(timeline: Timeline, finding: Finding, onset: Place) -> Origin:
    """What is in the subject from the onset on, and what was ever pulled from it."""
    return what_was_pulled(timeline, finding, onset)[0], what_is_there(timeline, finding, onset)[1]


def what_was_read(timeline: Timeline, finding: Finding, _onset: Place) -> Origin:
    """What was in the subject from the first reading on that the finding rests on."""
    read = [entry for root in finding.entries[1:] if (entry := timeline.entry(root)) is not None]
    places = [(Place(timeline.place_of(entry).order, 1), entry.observed_at) for entry in read]
    if not places:
        return [], []
    return [], [(holder, *min(places)) for holder in _holders(timeline.kitchen, finding)]


def _holders(kitchen: Kitchen, finding: Finding) -> list[Holder]:
    """Give what holds, or held, the food of a finding's subject: all spits of a load."""
    subject = finding.subject
    if subject.kind == "load":
        return list(_spits(kitchen.loads.get(subject.name)))
    holder = kitchen.holders.get(subject)
    return [holder] if holder else []


def _spits(load: Load | None) -> Iterable[Spit]:
    return load.spits.values() if load else ()


def _pulls(holders: Iterable[Holder]) -> list[Movement]:
    return [move for holder in holders for move in holder.outs if isinstance(move.entry, SpitPulled | ReheatDone)]


def _pulled_with(spit: Spit, lot: str | None) -> Iterator[Movement]:
    carried = [move.index for move in spit.fills if getattr(move.entry, "lot", None) == lot]
    return (move for move in _pulls([spit]) if carried and move.index > carried[0])
