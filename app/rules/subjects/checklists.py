"""The opening and closing lists of a day on which something was cooked. A house rule, in force where a plan says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from app.kinds import Checklist, LoadStarted

from ..day.reach import DAY
from ..day.registry import Each, rule
from ..facts import Verdict

if TYPE_CHECKING:
    from ..day.judge import Day, Judged

LISTS = {"opening": "opening_checks", "closing": "closing_checks"}
"""Each list, and the setting of the plan that has its items."""


@rule(
    "checklist.done",
    group="checklists",
    each=Each.DAY,
    subjects=("checklist",),
    reads=(Checklist, LoadStarted),
    reach=(DAY,),
    limits=("opening_checks", "closing_checks"),
    not_met=("none",),
)
def report_lists(judged: Judged, day: Day) -> None:
    """On a day with a load, the newest opening (closing) list has an item answered no (not met), an item is missing
    or there is no list (not shown). Not in force by default.
    """
    started = any(isinstance(entry, LoadStarted) for entry in day.seen)
    if judged.report.as_of >= day.ends_at and started:
        for name in LISTS:
            _report_list(judged, day, name)


def _report_list(judged: Judged, day: Day, name: str) -> None:
    items: tuple[str, ...] = getattr(day.plan.limits, LISTS[name])
    made = [entry for entry in day.seen if isinstance(entry, Checklist) and entry.list == name]
    newest = made[-1] if made else None
    answers = newest.items if newest is not None else {}
    wrong = [item for item in items if answers.get(item) is False]
    missing = [item for item in items if item not in answers]
    if newest is not None and not wrong and not missing:
        return
    judged.report.add(
        "checklist.done",
        judged.report.subject("checklist", name),
        Verdict.NOT_MET if wrong else Verdict.NOT_SHOWN,
        onset_at=day.ends_at,
        day=day.day,
        rests_on=made[-1:],
        measured={"wrong": wrong, "missing": missing},
        limit={LISTS[name]: list(items)},
        source=day.plan.source(LISTS[name]),
        plan=day.plan,
    )
