"""Was what corrective actions ordered done: each way out of that food, and what is still here when the day ends."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from app.kinds import CoolingReading, CorrectiveAction, Release, Subject

from ..facts import Finding, Verdict
from ..history.following import Follower, Place, Stay, Step, Timeline, Trail
from ..history.holders import Batch, Holder
from ..history.kitchen import Kitchen
from ..history.movements import MOVES
from ..history.set_aside import SetAside
from ..subjects.aside import WAYS_NAMED
from .reach import FOOD
from .registry import Critical, Each, rule

if TYPE_CHECKING:
    from .judge import Judged

ABOUT_FOOD = ("continue_cooking", "reheat", "chill", "serve_now", "discard", "hold_for_evaluation")
"""The dispositions that order what becomes of food."""

_HOLD = "hold_for_evaluation"


@dataclass(slots=True, eq=False)
class Order:
    """What one finding's corrective actions ordered, in order, and the trail of the food they are about."""

    finding: Finding
    actions: Sequence[CorrectiveAction]
    trail: Trail
    timeline: Timeline
    _done: dict[Step, frozenset[str]] = field(default_factory=dict)
    """By step, the ids of the actions that were carried out once birds had made it."""

    def newest(self, before: Place) -> CorrectiveAction | None:
        """Give the newest order that was seen before a place in the order."""
        given = [action for action in self.actions if self.timeline.place_of(action) < before]
        return given[-1] if given else None

    def standing(self, stay: Stay, at: Place) -> CorrectiveAction | None:
        """Give the order that stands for food in a holder: given, and not carried out."""
        action = self.newest(at)
        if action is None or action.root in self._done_in(stay, at) or _is_chilled(action, stay, self.timeline, at):
            return None
        return action

    def _done_in(self, stay: Stay, at: Place) -> frozenset[str]:
        """Give what was carried out of what had come into a holder: birds in it are not told apart, so of all of it."""
        brought = [self._done_by(step) for step in self.trail.steps if step.to_stay is stay and step.place < at]
        return frozenset.intersection(*brought) if brought and stay.entered else frozenset()

    def _done_by(self, step: Step) -> frozenset[str]:
        known = self._done.get(step)
        if known is None:
            known = self._done_in(step.stay, step.place)
            action = self.standing(step.stay, step.place)
            if action is not None and _way_named(action, step.stay.holder.subject.kind) == step.to:
                known |= {action.root}
            self._done[step] = known
        return known


def _way_named(action: CorrectiveAction, kind: str) -> str | None:
    return WAYS_NAMED.get(action.disposition, {}).get(kind)


def _is_chilled(action: CorrectiveAction, stay: Stay, timeline: Timeline, until: Place) -> bool:
    """Whether an order to chill a batch was carried out: a later reading shows it at or under the limit."""
    batch = stay.holder
    if action.disposition != "chill" or not isinstance(batch, Batch):
        return False
    limit = batch.plan.limits.cold_holding
    return any(
        isinstance(entry, CoolingReading)
        and timeline.place_of(action) < timeline.place_of(entry) < until
        and limit.at_or_below(entry.reading)
        for entry in batch.readings
    )


class Orders:
    """All orders about food."""

    def __init__(self, orders: Iterable[Order], timeline: Timeline) -> None:
        self.orders, self.timeline = list(orders), timeline
        self._stays: dict[Subject, list[tuple[Order, Stay]]] = {}
        """By the holder that the food is or was in."""
        for order in self.orders:
            for stay in order.trail.stays:
                self._stays.setdefault(stay.holder.subject, []).append((order, stay))

    def standing_in(self, holder: Holder) -> list[CorrectiveAction]:
        """Give the orders that stand for what a holder holds now."""
        ever = self._stays.get(holder.subject)
        if ever is None:  # as nearly always
            return []
        now = Place(len(self.timeline.kitchen.entries))
        stays = [(order, stay) for order, stay in ever if stay.is_at(now)]
        return [action for order, stay in stays if (action := order.standing(stay, now)) is not None]

    def left_of(self, ways: Iterable[str], holder: Holder) -> tuple[str, ...]:
        """Give those of some ways out of a holder that all its standing orders leave."""
        standing, kind = self.standing_in(holder), holder.subject.kind
        if not standing:
            return tuple(ways)
        return tuple(way for way in ways if all(_is_in_order(action, kind, way) for action in standing))


def _is_in_order(action: CorrectiveAction, kind: str, to: str) -> bool:
    if kind == "reheat" and to != "discarded":  # in a tray the order goes on; what is to stay or go is not put there
        return action.disposition not in ("discard", _HOLD)
    carries_along = to == "other_tray" or (to == "chilled" and action.disposition == _HOLD)
    return to in (_way_named(action, kind), "discarded") or carries_along


def orders_of(judged: Judged) -> Orders:
    """Gather what was ordered for the food of every finding that stands."""
    aside, orders = judged.aside, []
    for finding in judged.report.findings:
        given = [action for action in judged.book.actions(finding) if action.disposition in ABOUT_FOOD]
        if given:
            orders.append(Order(finding, given, _trail(judged, aside, finding, given), aside.doubts.timeline))
    return Orders(orders, aside.doubts.timeline)


def _trail(judged: Judged, aside: SetAside, finding: Finding, given: Sequence[CorrectiveAction]) -> Trail:
    """Where the food of an order went: what the finding set aside, else what was in its subject when it was given."""
    known = aside.by_key.get(finding.key)
    if known is not None:
        return known.trail
    timeline = aside.doubts.timeline
    follower = Follower(timeline)
    for holder, fed in _holders(judged.kitchen, finding):
        for action in given:
            follower.begin(holder, timeline.place_of(action), action.observed_at)
        for move in holder.outs if fed else ():
            follower.take(move)
    return follower.follow()


def _holders(kitchen: Kitchen, finding: Finding) -> Iterator[tuple[Holder, bool]]:
    """Give what holds the food of a finding's subject; with True, the trays it fed are meant too."""
    subject = finding.subject
    if subject.kind == "load":
        load = kitchen.loads.get(subject.name)
        yield from ((spit, True) for spit in (load.spits.values() if load else ()))
    elif (holder := kitchen.holders.get(subject)) is not None:
        yield holder, subject.kind in ("spit", "reheat")


# ---- the rule --------------------------------------------------------------------------------------------------------


@rule(
    "action.done",
    group=None,
    each=Each.ORDERS,
    subjects=("tray", "batch", "reheat", "spit"),
    reads=(CorrectiveAction, Release, CoolingReading, *MOVES),
    reach=(FOOD,),
    source="what was ordered is done: house",
    critical=Critical.NOT_MET,
    not_met=("discard", "hold_for_evaluation"),
    already_out=True,
)
def report_undone(judged: Judged, orders: Orders) -> None:
    """Food went out by another way than the newest corrective action about it ordered: not met, one a way out.

    It was still here when the action's day ended, and was not held for evaluation: not shown, told in that day.
    """
    against: dict[str, list[tuple[Step, CorrectiveAction]]] = {}
    for order in orders.orders:
        for step in order.trail.steps:
            action = order.standing(step.stay, step.place)
            kind = step.stay.holder.subject.kind
            if kind in ("tray", "batch") and action is not None and not _is_in_order(action, kind, step.to):
                against.setdefault(step.move.entry.root, []).append((step, action))
    for found in against.values():
        _add_left(judged, found)
    _report_still_here(judged, orders)


def _add_left(judged: Judged, found: Sequence[tuple[Step, CorrectiveAction]]) -> None:
    step, action = found[-1]
    holder = step.stay.holder
    judged.report.add(
        "action.done",
        holder.subject,
        Verdict.NOT_MET,
        opener=step.move.entry,
        rests_on=[one for _step, one in found],
        measured={"to": step.to, "birds": step.move.birds},
        limit={"disposition": action.disposition},
        plan=holder.plan,
    )


def _report_still_here(judged: Judged, orders: Orders) -> None:
    reported: set[tuple[str, Holder]] = set()
    for order in orders.orders:
        for action, ends_at in _due(judged, order.actions):
            at = orders.timeline.place_before(ends_at)
            for stay in order.trail.at(at):
                is_new = (action.root, stay.holder) not in reported
                if order.standing(stay, at) is action and not _is_carried_out(action, stay) and is_new:
                    reported.add((action.root, stay.holder))
                    _add_still_here(judged, action, stay.holder, ends_at)


def _due(judged: Judged, actions: Sequence[CorrectiveAction]) -> Iterator[tuple[CorrectiveAction, datetime]]:
    """Give the orders whose own business day is over, with its end."""
    for action in actions:
        ends_at = judged.calendar.bounds(judged.calendar.day_of(action.observed_at))[1]
        if ends_at <= judged.report.as_of and action.disposition != _HOLD:
            yield action, ends_at


def _is_carried_out(action: CorrectiveAction, stay: Stay) -> bool:
    """Whether food is where the order put it: left on the spit to be cooked on, or being reheated."""
    where: Mapping[str, str] = {"continue_cooking": "spit", "reheat": "reheat"}
    return where.get(action.disposition) == stay.holder.subject.kind


def _add_still_here(judged: Judged, action: CorrectiveAction, holder: Holder, ends_at: datetime) -> None:
    judged.report.add(
        "action.done",
        holder.subject,
        Verdict.NOT_SHOWN,
        opener=action,
        onset_at=ends_at,
        day=judged.calendar.day_of(action.observed_at),
        measured={"birds": holder.birds_at(ends_at)},
        limit={"disposition": action.disposition},
        plan=holder.plan,
    )
