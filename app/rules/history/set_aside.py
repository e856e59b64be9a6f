"""Food set aside: which food each finding is about, from when it is aside, and what ends that.

9 CFR 417.3(b)(1): what a deviation may have touched is segregated and held until it was reviewed.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from app.kinds import Entry, ReheatDone, Release, SpitPulled, Subject

from ..day.registry import RULES
from ..facts import Finding, Verdict
from ..subjects import cooking, reheating
from .following import Follower, Place, Stay, Step, Timeline, Trail
from .holders import Holder, Movement, Reheat, Spit
from .kitchen import Kitchen


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
        taken, held = RULES[finding.rule].food(self.timeline, finding, onset)
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
        stays = self._stays.get(subject)
        return [] if stays is None else list({aside.finding.key: aside for aside, _stay in stays}.values())

    def stays_in(self, subject: Subject) -> Sequence[tuple[Aside, Stay]]:
        """Give the same with each stay of that food in the holder, past ones too."""
        return self._stays.get(subject, ())

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
