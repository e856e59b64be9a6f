"""Food set aside: which food each finding is about, from when it is aside, and what ends that.

9 CFR 417.3(b)(1): what a deviation may have touched is segregated and held until it was reviewed.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from app.kinds import Entry, ReheatDone, Release, SpitPulled, Subject

from ..facts import Finding, Verdict
from ..subjects import cooking, reheating
from .following import Follower, Place, Stay, Step, Timeline, Trail, outs_named
from .kitchen import Holder, Kitchen, Load, Movement, Reheat, Spit


class Aside(NamedTuple):
    """A finding that sets food aside, from which place in the order on it does, and where the food went."""

    finding: Finding
    onset: Place
    trail: Trail

    def is_aside(self, step: Step) -> bool:
        """Whether birds that left were set aside at that moment."""
        return step.place > self.onset

    def since(self, stay: Stay) -> datetime:
        """Since when food in a holder is set aside for this finding."""
        return max(self.finding.onset_at, stay.since)


class LetGo(NamedTuple):
    """A release that counts for a finding, and when."""

    entry: Release
    at: datetime


def moment_of(release: Release) -> datetime:
    """When a release lets go: when it was seen; a late one when it was written."""
    return release.recorded_at if release.late else release.observed_at


@dataclass(slots=True, eq=False)
class Doubts:
    """What following food goes by: the order of things, and which readings a failed probe puts in doubt."""

    timeline: Timeline
    doubted: frozenset[str]
    as_of: datetime

    def follow(self, finding: Finding, releases: Iterable[Release] = ()) -> Aside:
        """Follow the food of a finding to where it is, was made good, was let go, or left the kitchen."""
        onset = self.onset(finding)
        follower = Follower(self.timeline, makes_good=self._makes_good(finding, onset))
        self._start(follower, finding, onset)
        for entry, at in self.counting(finding, releases):
            place = self.timeline.place_at(at) if entry.late else self.timeline.place_of(entry)
            follower.release(entry, place, at)
        return Aside(finding, onset, follower.follow())

    def follow_all(self, finding: Finding) -> Trail:
        """Follow every bird that a finding concerned, whatever was made good or released."""
        follower = Follower(self.timeline)
        self._start(follower, finding, self.onset(finding))
        return follower.follow()

    def counting(self, finding: Finding, releases: Iterable[Release]) -> list[LetGo]:
        """Give the releases that count: while the finding may be released, and begun before them."""
        if not finding.may_be_released:
            return []
        given = [LetGo(release, moment_of(release)) for release in releases]
        return [one for one in given if finding.onset_at <= one.at <= self.as_of]

    def onset(self, finding: Finding) -> Place:
        """Give the place of a finding's onset: that of its opener, where it is the opener's own instant."""
        opener = self.timeline.entry(finding.entries[0]) if finding.entries else None
        if opener is not None and opener.observed_at == finding.onset_at:
            return Place(self.timeline.place_of(opener).order, 1)
        return self.timeline.place_at(finding.onset_at)

    def _start(self, follower: Follower, finding: Finding, onset: Place) -> None:
        source = _SOURCES.get(finding.rule)
        taken, held = source(self, finding) if source else ([], _here(self, finding, onset))
        for move in taken:
            follower.take(move)
        for holder, place, at in held:
            follower.begin(holder, place, at)

    def _makes_good(self, finding: Finding, onset: Place) -> Callable[[Stay, Movement], bool]:
        def makes_good(stay: Stay, move: Movement) -> bool:
            entry = move.entry
            if isinstance(entry, SpitPulled) and "continue_cooking" in finding.dispositions:
                return (stay.entered or Place(move.index) > onset) and self._is_cooked(stay.holder, entry)
            if isinstance(entry, ReheatDone) and "reheat" in finding.dispositions:
                return stay.entered and _is_reheated(stay.holder, entry)
            return False

        return makes_good

    def _is_cooked(self, holder: Holder, pull: SpitPulled) -> bool:
        return isinstance(holder, Spit) and cooking.is_met_without(
            self.timeline.kitchen, holder, pull, doubted=self.doubted
        )


def _is_reheated(holder: Holder, done: ReheatDone) -> bool:
    return isinstance(holder, Reheat) and reheating.judge_done(holder, done)[0] is Verdict.MET


# ---- which food a finding is about -----------------------------------------------------------------------------------

_Start = tuple[Holder, Place, datetime]
_Origin = tuple[Sequence[Movement], Sequence[_Start]]
"""What was taken out by certain movements, and what was in certain holders from a place in the order on."""


def _pulls(holders: Iterable[Holder]) -> list[Movement]:
    return [move for holder in holders for move in holder.outs if isinstance(move.entry, SpitPulled | ReheatDone)]


def _holders(kitchen: Kitchen, finding: Finding) -> list[Holder]:
    """Give what holds, or held, the food of a finding's subject: all spits of a load."""
    subject = finding.subject
    if subject.kind == "load":
        load = kitchen.loads.get(subject.name)
        return list(load.spits.values()) if load else []
    holder = kitchen.holders.get(subject)
    return [holder] if holder else []


def _here(doubts: Doubts, finding: Finding, onset: Place) -> list[_Start]:
    """What is in the subject from the onset on."""
    return [(holder, onset, finding.onset_at) for holder in _holders(doubts.timeline.kitchen, finding)]


def _failed(doubts: Doubts, finding: Finding) -> _Origin:
    """What the pulls (or reheats that were done) that the finding names took out."""
    holders = _holders(doubts.timeline.kitchen, finding)
    return [move for holder in holders for move in outs_named(holder, finding.entries)], []


def _all_pulled(doubts: Doubts, finding: Finding) -> _Origin:
    return _pulls(_holders(doubts.timeline.kitchen, finding)), []


def _pulled_since(doubts: Doubts, finding: Finding) -> _Origin:
    """What was pulled from the onset on."""
    moves = _pulls(_holders(doubts.timeline.kitchen, finding))
    return [move for move in moves if move.at >= finding.onset_at], []


def _of_lot(doubts: Doubts, finding: Finding) -> _Origin:
    """What was pulled from spits that carried the lot."""
    lot, load = finding.measured.get("lot"), doubts.timeline.kitchen.loads.get(finding.subject.name)
    return [move for spit in _spits(load) for move in _pulled_with(spit, lot)], []


def _spits(load: Load | None) -> Iterable[Spit]:
    return load.spits.values() if load else ()


def _pulled_with(spit: Spit, lot: str | None) -> Iterator[Movement]:
    carried = [move.index for move in spit.fills if getattr(move.entry, "lot", None) == lot]
    return (move for move in _pulls([spit]) if carried and move.index > carried[0])


def _reheated_late(doubts: Doubts, finding: Finding) -> _Origin:
    """The reheat from its onset on, and what it filled."""
    return _all_pulled(doubts, finding)[0], _here(doubts, finding, doubts.onset(finding))


def _read(doubts: Doubts, finding: Finding) -> _Origin:
    """What was in the subject from the first reading on that the finding rests on."""
    read = [entry for root in finding.entries[1:] if (entry := doubts.timeline.entry(root)) is not None]
    places = [(Place(doubts.timeline.place_of(entry).order, 1), entry.observed_at) for entry in read]
    if not places:
        return [], []
    return [], [(holder, *min(places)) for holder in _holders(doubts.timeline.kitchen, finding)]


def _gone_out(doubts: Doubts, finding: Finding) -> _Origin:
    """What left by the entry that the finding is about."""
    return _failed(doubts, finding)


_SOURCES: Mapping[str, Callable[[Doubts, Finding], _Origin]] = {
    "cook.core_temperature": _failed,
    "ties.balance": _all_pulled,
    "cook.interrupted": _pulled_since,
    "lot.rejected": _of_lot,
    "reheat.temperature": _failed,
    "reheat.dwell": _failed,
    "reheat.time": _reheated_late,
    "probe.review": _read,
    "hold.disposition": _gone_out,
    "time_control.returned": _gone_out,
    "aside.left": _gone_out,
}
"""Where the food of a rule's findings comes from; of every other it is what is in the subject from the onset on."""


class SetAside:
    """What findings set aside: by finding, and by what holds or held the food."""

    def __init__(self, doubts: Doubts, asides: Iterable[Aside]) -> None:
        self.doubts = doubts
        self.by_key = {aside.finding.key: aside for aside in asides}
        self._stays: dict[Subject, list[tuple[Aside, Stay]]] = {}
        self._left: dict[Subject, dict[int, list[tuple[Aside, Step]]]] = {}
        for aside in self.by_key.values():
            for stay in aside.trail.stays:
                self._stays.setdefault(stay.holder.subject, []).append((aside, stay))
            for step in aside.trail.steps:
                if aside.is_aside(step):
                    left = self._left.setdefault(step.stay.holder.subject, {})
                    left.setdefault(step.move.index, []).append((aside, step))

    def ever_in(self, subject: Subject) -> list[Aside]:
        """Give the findings whose food is or was in a holder."""
        return list({aside.finding.key: aside for aside, _stay in self._stays.get(subject, ())}.values())

    def now_in(self, subject: Subject) -> list[tuple[Aside, Stay]]:
        """Give the findings for which a holder is aside now."""
        return [(aside, stay) for aside, stay in self._stays.get(subject, ()) if stay.until is None]

    def left(self, subject: Subject) -> Iterable[list[tuple[Aside, Step]]]:
        """Give what left a holder while it was aside: for each movement, in order, the findings it was aside for."""
        moves = self._left.get(subject, {})
        return (moves[index] for index in sorted(moves))


def set_aside(
    kitchen: Kitchen,
    findings: Sequence[Finding],
    *,
    releases_of: Callable[[Finding], Iterable[Release]],
    doubted: Iterable[str],
    as_of: datetime,
) -> SetAside:
    """Follow the food of all findings that set food aside; `doubted` are readings that a failed probe puts in doubt."""
    doubts = Doubts(Timeline(kitchen), frozenset(doubted), as_of)
    return SetAside(doubts, [doubts.follow(finding, releases_of(finding)) for finding in findings])


def released(entry: Entry, aside: Aside) -> bool:
    """Whether a release let go of food of a finding."""
    return any(stay.released_by is entry for stay in aside.trail.stays)
