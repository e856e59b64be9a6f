"""How promptly the records were written: the day's critical readings, and how many of them were written late.

9 CFR 417.5(b): each entry is made when the event occurs. In a kitchen a house rule.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import Entry

from ..facts import Verdict
from ..history.kitchen import Kitchen
from ..history.movements import MOVES
from ..subjects.critical_readings import CRITICAL_KINDS, is_critical
from .reach import DAY
from .registry import RULES, Each, rule

if TYPE_CHECKING:
    from .judge import Day, Judged

AT_LEAST = 5
"""As many late readings as a day may have at least, before anything is said of them (house)."""
SHARE = 4
"""More than one in so many readings of the day are late, where something is said of them (house)."""


class Lateness(NamedTuple):
    """The critical readings of a day, and those of them that were written late."""

    readings: Sequence[Entry]
    late: Sequence[Entry]


def late_roots(entries: Iterable[Entry]) -> frozenset[str]:
    """Give what was late when it was first written: a correction makes it neither late nor in time."""
    return frozenset(entry.root for entry in entries if entry.late and entry.seq == entry.root_seq)


def lateness_of(kitchen: Kitchen, seen: Iterable[Entry], late: frozenset[str]) -> Lateness:
    """Give the critical readings among what was seen, and which of them were late; `late` names first versions."""
    readings = [entry for entry in seen if is_critical(kitchen, entry)]
    return Lateness(readings, [entry for entry in readings if entry.root in late])


@rule(
    "record.late",
    group="lateness",
    each=Each.DAY,
    subjects=("day",),
    reads=(*CRITICAL_KINDS, *MOVES),
    reach=(DAY,),
    limits=("late_min",),
    source=f"at least {AT_LEAST} and more than one in {SHARE}: house; entries made when it happens: 9 CFR 417.5(b)",
    verification=True,
    not_met=("none",),
    may_stand=lambda entries, _calendar: len(late_roots(entries)) >= AT_LEAST,
)
def report_late(judged: Judged, day: Day) -> None:
    """At least 5 of the day's critical readings, and more than a quarter, were late when first written: not shown,
    at the day's end.
    """
    if judged.report.as_of < day.ends_at:
        return
    readings, late = lateness_of(judged.kitchen, day.seen, judged.late)
    if len(late) < AT_LEAST or SHARE * len(late) <= len(readings):
        return
    judged.report.add(
        "record.late",
        judged.report.subject("day", day.day.isoformat()),
        Verdict.NOT_SHOWN,
        onset_at=day.ends_at,
        day=day.day,
        rests_on=late,
        measured={"readings": len(readings), "late": len(late)},
        limit={"late_min": day.plan.limits.late_min},
        source=f"{day.plan.source('late_min')}; {RULES['record.late'].source}",
        plan=day.plan,
    )
