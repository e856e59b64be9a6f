"""A hot-holding unit: its air under the limit asks for its trays to be read. FDA Food Code 3-501.16(A)(1)."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from app.kinds import HoldReading, ReheatDone, SpitPulled, TrayMoved, TrayOut, UnitCheck

from ..day.reach import Reach
from ..day.registry import Each, rule
from ..day.report import shown
from ..facts import Verdict
from ..history import holders, kitchen
from .runs import AGAIN, LOOK_AGAIN

if TYPE_CHECKING:
    from ..day.judge import Judged
    from ..day.register_calendar import RegisterCalendar

HOT_UNIT = Reach(
    name="hot_unit", says="readings of any tray in the hot-holding unit, half an hour on", after=LOOK_AGAIN
)


def _is_warm(check: UnitCheck, calendar: RegisterCalendar) -> bool:
    """Whether the air of a hot unit was under the limit, where the plan of that moment asks for it."""
    if check.of != "air":
        return False  # what is in it is read in its trays
    unit, plan = calendar.site.equipment.get(check.unit_code), calendar.plan_at(check.observed_at)
    is_hot_unit = unit is not None and unit.kind == "hot_unit"
    return is_hot_unit and plan.has("holding") and not plan.limits.hot_holding.at_or_above(check.reading)


@rule(
    "hold.unit",
    group="holding",
    each=Each.KITCHEN,
    subjects=("hot_unit",),
    reads=(UnitCheck, HoldReading, TrayMoved, SpitPulled, ReheatDone, TrayOut),
    reach=(HOT_UNIT,),
    limits=("hot_holding",),
    source=AGAIN,
    not_met=("none", "reheat", "serve_now", "discard", "hold_for_evaluation"),
    already_out=True,
    may_stand=lambda entries, calendar: any(
        _is_warm(entry, calendar) for entry in entries if isinstance(entry, UnitCheck)
    ),
)
def report_warm_units(judged: Judged, kitchen_: kitchen.Kitchen) -> None:
    """The air of a hot-holding unit was under the limit and no tray in it was read in the next 30 min: not shown."""
    report = judged.report
    for check in kitchen_.of_kind(UnitCheck):
        until, plan = check.observed_at + LOOK_AGAIN, kitchen_.plan_at(check.observed_at)
        if report.as_of < until or not _is_warm(check, judged.calendar):
            continue
        if not any(_read_within(tray, check.unit_code, check.observed_at, until) for tray in kitchen_.trays()):
            report.add(
                "hold.unit",
                report.subject("hot_unit", check.unit_code),
                Verdict.NOT_SHOWN,
                opener=check,
                onset_at=until,
                measured=shown(check.reading),
                limit=plan.limits.hot_holding.printed(),
                source=plan.source("hot_holding"),
                plan=plan,
            )


def _read_within(tray: holders.Tray, code: str, since: datetime, until: datetime) -> bool:
    return any(
        since <= entry.observed_at <= until and tray.unit_at(entry.observed_at) == code for _, entry in tray.readings
    )
