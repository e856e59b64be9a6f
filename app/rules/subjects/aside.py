"""Food set aside leaves only by a way that is right for it: thrown away, or made good as its findings allow.

9 CFR 417.3(b)(2): until the review is done, what is held is kept out of commerce. In a kitchen a rule of the house.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from app.kinds import CookReading, ReheatReading, Release

from ..day.reach import FOOD
from ..day.registry import Critical, Each, rule
from ..facts import Finding, Verdict
from ..history.following import Step
from ..history.holders import Holder
from ..history.movements import MOVES
from ..history.origins import what_left
from ..history.set_aside import Aside

if TYPE_CHECKING:
    from ..day.judge import Judged

WAYS_NAMED: Mapping[str, Mapping[str, str]] = {
    "continue_cooking": {"tray": "returned_to_oven"},
    "reheat": {"tray": "reheated", "batch": "reheated"},
    "chill": {"tray": "chilled"},
    "serve_now": {"tray": "served", "batch": "served_cold"},
    "discard": dict.fromkeys(("tray", "batch", "reheat", "spit"), "discarded"),
}
"""The way out that a disposition names, by what holds the food."""


def right_ways(findings: Sequence[Finding], kind: str) -> frozenset[str]:
    """Give the ways out of a holder of this kind that are right for all findings that set aside what is in it."""
    ways = frozenset.intersection(*(_ways(finding.dispositions, kind) for finding in findings))
    if kind == "tray":
        ways |= {"other_tray"}  # as far as this rule goes: it stays aside
        if all(finding.may_be_released for finding in findings):
            ways |= {"chilled"}
    return ways


def _ways(dispositions: Iterable[str], kind: str) -> frozenset[str]:
    named = {WAYS_NAMED[one][kind] for one in dispositions if kind in WAYS_NAMED.get(one, ())}
    return frozenset(named | {"discarded"})


@rule(
    "aside.left",
    group="set_aside",
    each=Each.ASIDE,
    subjects=("tray", "batch"),
    reads=(*MOVES, CookReading, ReheatReading, Release),
    reach=(FOOD,),
    source="food set aside is held until it is decided on: 9 CFR 417.3(b)(1)-(2); in a kitchen a house rule",
    critical=Critical.NOT_MET,
    food=what_left,
    not_met=("discard",),
    already_out=True,
)
def report_left(judged: Judged, holder: Holder) -> None:
    """Food that was set aside left a tray or batch by a way that is not right for it: not met, one a way out."""
    for left in judged.aside.left(holder.subject):
        findings = [aside.finding for aside, _step in left]
        ways = right_ways(findings, holder.subject.kind)
        if left[0][1].to not in ways:
            _add(judged, holder, left, ways)


def _add(judged: Judged, holder: Holder, left: Sequence[tuple[Aside, Step]], ways: frozenset[str]) -> None:
    _aside, step = left[0]
    judged.report.add(
        "aside.left",
        holder.subject,
        Verdict.NOT_MET,
        opener=step.move.entry,
        measured={
            "to": step.to,
            "birds": step.move.birds,
            "since": min(aside.since(one.stay) for aside, one in left),
            "findings": [aside.finding.key for aside, _one in left],
        },
        limit={"ways": sorted(ways)},
        plan=holder.plan,
    )
