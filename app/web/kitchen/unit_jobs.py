"""What needs doing now about units: food to be read where one is out of its limit, cold units to be checked."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from flask import url_for
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l

from app import words
from app.kinds import UnitCheck, of_kind
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import ColdUnitView, TrayView
from app.rules.facts import Verdict
from app.rules.history.versions import effective
from app.rules.meaning import storage as meaning
from app.rules.meaning.alarms import Alarm
from app.rules.subjects.runs import LOOK_AGAIN

from . import out_of_use, readings
from .jobs import Job, Urgency, until

_OUT_OF_USE = _l("Out of use. Its checks are asked of every day it is listed.")


def unit_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give the units out of their limit whose food is to be read, and the cold units whose checks lag behind."""
    yield from _cold_jobs(assessment)
    yield from _hot_jobs(assessment)


def _cold_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give what is asked of the cold units. A day on which nothing is written owes no checks."""
    owed = meaning.checks_owed("cold_unit", assessment.plan)
    listed = {item.code for item in readings.listed(assessment.site, "cold_unit")}
    asked = _asked_by_now(assessment, owed)
    written = any(entry.observed_at >= assessment.starts_at for entry in assessment.entries)
    behind = [one for one in assessment.cold_units if written and one.unit_code in listed and one.checks < asked]
    out = out_of_use.codes_out() if behind else set()
    for unit in assessment.cold_units:
        warm = _warm_air(unit, assessment)
        if warm is not None:
            yield _food_job(unit, warm, assessment)
        elif unit in behind and unit.unit_code in out:
            yield replace(_unit_job(unit, assessment, owed, is_last=False), says=_OUT_OF_USE)
        elif unit in behind:
            yield _unit_job(unit, assessment, owed, is_last=asked == owed)


def _warm_air(unit: ColdUnitView, assessment: Assessment) -> UnitCheck | None:
    """Give the last check of a unit where it found its air too warm and there is time to check the food in it."""
    last = unit.last
    if last is None or last.of == "food" or meaning.is_within("cold_unit", assessment.plan, last.reading):
        return None
    return last if assessment.as_of < last.observed_at + LOOK_AGAIN else None


def _food_job(unit: ColdUnitView, warm: UnitCheck, assessment: Assessment) -> Job:
    by = warm.observed_at + LOOK_AGAIN
    limit = words.limit(meaning.unit_limit("cold_unit", assessment.plan), warm.reading.unit)
    return Job(
        urgency=Urgency.NOW,
        at=by,
        verdict=Verdict.PENDING,
        title=_("Cold unit %(unit)s", unit=unit.unit_code),
        says=_(
            "Its air is at %(reading)s, over %(limit)s: check the food in it.",
            reading=words.measured(warm.reading),
            limit=limit,
        ),
        when=until(by, assessment.as_of),
        when_small=_("check food by"),
        href=url_for("storage.unit_check", unit=unit.unit_code, of="food"),
        label=_("Check"),
        alarm=Alarm("cold_unit", unit.unit_code, "read_food"),
    )


def _asked_by_now(assessment: Assessment, owed: int) -> int:
    """Give how many of a day's checks there should be by now, spread evenly: of two the second in the last third.

    Common practice, no source: it only decides when the page asks. The finding is made at the day's end.
    """
    share = (assessment.ends_at - assessment.starts_at) / (owed + 1)
    return min(owed, (assessment.as_of - assessment.starts_at) // share)


def _unit_job(unit: ColdUnitView, assessment: Assessment, owed: int, *, is_last: bool) -> Job:
    return Job(
        urgency=Urgency.NOW if is_last else Urgency.DURING_THE_DAY,
        at=assessment.ends_at,
        verdict=Verdict.PENDING,
        title=_("Cold unit %(unit)s", unit=unit.unit_code),
        says=_("last: %(reading)s", reading=words.measured(unit.last.reading)) if unit.last else _("not checked today"),
        when=_("%(done)s of %(owed)s", done=unit.checks, owed=owed),
        when_small=_("checks today"),
        href=url_for("storage.unit_check", unit=unit.unit_code),
        label=_("Check"),
        alarm=Alarm("cold_unit", unit.unit_code, "check_unit"),
    )


def _hot_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each hot unit that was too cool, while a tray in it can still be read in time."""
    asked: set[str] = set()
    for check in of_kind(effective(assessment.entries, as_of=assessment.as_of), UnitCheck):
        unit = check.unit_code
        if unit in asked or not _is_cool(check, assessment):
            continue
        trays = [tray for tray in assessment.trays if tray.birds_left and tray.hot_unit == unit]
        if trays and not _was_read(unit, check.observed_at, assessment):
            asked.add(unit)
            yield _tray_to_read_job(check, trays, assessment)


def _is_cool(check: UnitCheck, assessment: Assessment) -> bool:
    """Whether a check found a hot unit under the limit, and there is time to read a tray in it."""
    unit, plan = assessment.site.equipment[check.unit_code], assessment.plan
    if unit.kind != "hot_unit" or not plan.has("holding") or meaning.is_within("hot_unit", plan, check.reading):
        return False
    return assessment.as_of < check.observed_at + LOOK_AGAIN


def _was_read(unit: str, since: datetime, assessment: Assessment) -> bool:
    held = (one for tray in assessment.trays for one in tray.held)
    return any(one.hot_unit == unit and one.entry.observed_at >= since for one in held)


def _tray_to_read_job(cool: UnitCheck, trays: list[TrayView], assessment: Assessment) -> Job:
    unit, by = cool.unit_code, cool.observed_at + LOOK_AGAIN
    first = min(trays, key=lambda tray: tray.check_due_at or assessment.ends_at)
    return Job(
        urgency=Urgency.NOW,
        at=by,
        verdict=Verdict.PENDING,
        title=_("Hot-holding unit %(unit)s", unit=unit),
        says=_(
            "It is at %(reading)s, under %(limit)s: check a tray in it (%(trays)s).",
            reading=words.measured(cool.reading),
            limit=words.limit(meaning.unit_limit("hot_unit", assessment.plan), cool.reading.unit),
            trays=words.joined([words.short_name(tray.tray) for tray in trays]),
        ),
        when=until(by, assessment.as_of),
        when_small=_("check tray by"),
        href=url_for("holding.hold_reading", tray=first.tray),
        label=_("Check"),
        alarm=Alarm("hot_unit", unit, "read_tray"),
    )
