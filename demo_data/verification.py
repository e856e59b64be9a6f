"""What verifies the demo's weeks: trainings, work that was watched, and the signature under a week."""

from dataclasses import replace
from datetime import timedelta

from app import ledger
from app.db import Database

from .calendar import LENGTH, DemoDay
from .diary import Diary, NotKept, in_charge_on
from .kitchen import SITE, caller

_WATCHED = {
    18: ("probing", "corrected", "Read beside the bone. Shown where the thickest part is."),
    11: ("probe_check", "right", None),
    4: ("hot_holding", "right", None),
}
"""Days before today on which the person in charge watched somebody: what, how it was, and a remark."""
_NEWEST_WEEK = 7
"""Days before today from which on a week is still to be signed."""


def write_verification(diary: Diary) -> None:
    """Note trainings on the first day, and work that was watched."""
    day, (lead, cook) = diary.day, in_charge_on(diary.day)
    if day.back == LENGTH:
        taught = {"what": "probing, hot holding and probe checks", "taught_by": "Ines Calloway"}
        diary.write("training", "15:05", by="ines", whom="wren", until=_until(day, 365), **taught)
        diary.write("training", "15:06", by="ines", whom="tomas", until=_until(day, 14), **taught)
    if day.back in _WATCHED:
        watched, outcome, remark = _WATCHED[day.back]
        said = {"remark": remark} if remark else {}
        diary.write("work_observed", "15:10", by=lead, whom=cook, watched=watched, outcome=outcome, **said)


def _until(day: DemoDay, days: int) -> str:
    return (day.day + timedelta(days=days)).isoformat()


def sign_week_before(database: Database, day: DemoDay) -> None:
    """On a Monday, sign the week before, if it has entries. Raises NotKept."""
    week = day.day - timedelta(days=7)
    if day.day.weekday() != 0 or day.back < _NEWEST_WEEK or day.back == LENGTH:
        return
    signer = replace(caller(in_charge_on(day)[0], on_tablet=False), signing=True)
    with database.writing() as session:
        shown = ledger.head(session, SITE)
        result = ledger.sign_week(session, SITE, week, by=signer, at=day.at("23:50"), shown=shown)
    if result.status != "accepted":
        raise NotKept(f"week of {week} not signed: {result.errors}")
