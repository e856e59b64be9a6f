"""Deliveries, their lots, and cold units. FDA Food Code 3-202.11 (receiving), 3-501.16(A)(2) (cold holding)."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from operator import attrgetter
from typing import TYPE_CHECKING

from app.kinds import Entry, LoadStarted, Receiving, SpitLoaded, Temperature, UnitCheck

from ..day.reach import DAY, FOOD, LOT, Line
from ..day.registry import Critical, Each, rule
from ..day.report import Report, shown
from ..facts import Equipment, Verdict
from ..history import holders, kitchen
from ..history.origins import what_was_pulled_of_the_lot
from ..meaning.storage import is_within
from ..plans.plan import Plan
from .cooling import COOLING, report_cold_batch
from .runs import AGAIN, LOOK_AGAIN, report_runs

if TYPE_CHECKING:
    from ..day.judge import Day, Judged
    from ..day.register_calendar import RegisterCalendar


@rule(
    "receive.temperature",
    group="receiving",
    each=Each.DELIVERY,
    subjects=("receiving",),
    reads=(Receiving,),
    reach=(DAY,),
    limits=("receive_cold",),
    critical=Critical.NOT_MET,
    not_met=("reject_delivery", "discard", "hold_for_evaluation"),
)
def report_receiving(judged: Judged, delivery: Receiving) -> None:
    """A chilled delivery was accepted over the limit (not met) or without a temperature (not shown)."""
    plan, reading = judged.kitchen.plan_at(delivery.observed_at), delivery.reading
    if delivery.decision != "accepted" or delivery.state != "chilled":
        return
    if reading is not None and plan.limits.receive_cold.at_or_below(reading):
        return
    judged.report.add(
        "receive.temperature",
        judged.report.subject("receiving", delivery.lot),
        Verdict.NOT_SHOWN if reading is None else Verdict.NOT_MET,
        opener=delivery,
        measured={} if reading is None else shown(reading),
        limit=plan.limits.receive_cold.printed(),
        source=plan.source("receive_cold"),
        plan=plan,
    )


@rule(
    "lot.known",
    group="receiving",
    each=Each.LOAD,
    subjects=("load",),
    reads=(LoadStarted, SpitLoaded, Receiving),
    reach=(FOOD, LOT),
    source="lots traced to an accepted delivery within its date: house",
    not_met=("none", "hold_for_evaluation", "discard"),
)
def report_unknown_lots(judged: Judged, load: holders.Load) -> None:
    """Birds were cooked of a lot that no delivery names, or of none: not shown."""
    for lot, first in _first_loadings(load).items():
        if not deliveries_of(judged.kitchen, lot):
            _add_lot(judged.report, load, "lot.known", Verdict.NOT_SHOWN, first, [])


@rule(
    "lot.rejected",
    group="receiving",
    each=Each.LOAD,
    subjects=("load",),
    reads=(LoadStarted, SpitLoaded, Receiving),
    reach=(FOOD, LOT),
    source="lots traced to an accepted delivery within its date: house",
    critical=Critical.NOT_MET,
    sets_aside=("load",),
    food=what_was_pulled_of_the_lot,
    not_met=("discard", "hold_for_evaluation"),
)
def report_rejected_lots(judged: Judged, load: holders.Load) -> None:
    """Birds were cooked of a lot that was only rejected, or past the latest date of what was accepted: not met."""
    for lot, first in _first_loadings(load).items():
        deliveries = deliveries_of(judged.kitchen, lot)
        accepted = [entry for entry in deliveries if entry.decision == "accepted"]
        if deliveries and (not accepted or is_past(accepted, judged.report.day_of(first.observed_at))):
            _add_lot(judged.report, load, "lot.rejected", Verdict.NOT_MET, first, deliveries)


def deliveries_of(kitchen_: kitchen.Kitchen, lot: str | None) -> list[Receiving]:
    """Give the deliveries of a lot, in order of time."""
    return [entry for entry in kitchen_.of_kind(Receiving) if entry.lot == lot]


def _first_loadings(load: holders.Load) -> dict[str | None, SpitLoaded]:
    first: dict[str | None, SpitLoaded] = {}
    loadings = [entry for spit in load.spits.values() for entry in spit.loadings()]
    loadings.sort(key=attrgetter("observed_at", "root_seq"))
    for entry in loadings:
        first.setdefault(entry.lot, entry)
    return first


def is_past(accepted: Sequence[Receiving], day: date) -> bool:
    """Whether a business day is past the latest use-by date that the accepted deliveries name."""
    dates = [entry.use_by for entry in accepted if entry.use_by is not None]
    return bool(dates) and day > max(dates)


def _add_lot(
    report: Report, load: holders.Load, rule: str, verdict: Verdict, first: SpitLoaded, deliveries: Sequence[Receiving]
) -> None:
    use_by = [entry.use_by for entry in deliveries if entry.use_by is not None]
    report.add(
        rule,
        report.subject("load", load.name),
        verdict,
        opener=first,
        rests_on=deliveries,
        measured={} if first.lot is None else {"lot": first.lot},
        limit={"use_by": max(use_by)} if use_by else {},
        plan=load.plan,
    )


def checks_of(kitchen_: kitchen.Kitchen, code: str) -> list[UnitCheck]:
    """Give the checks of one unit in order of time."""
    return [entry for entry in kitchen_.of_kind(UnitCheck) if entry.unit_code == code]


def _settles_unit(check: Entry, calendar: RegisterCalendar) -> bool:
    """Whether a check ends whatever run there was: of a cold unit one within its limit, of another unit any."""
    if not isinstance(check, UnitCheck):
        return False
    unit = calendar.site.equipment.get(check.unit_code)
    is_cold_unit = unit is None or unit.kind == "cold_unit"
    return not is_cold_unit or is_within("cold_unit", calendar.plan_at(check.observed_at), check.reading)


UNIT = Line(
    name="unit",
    says="checks of the cold unit, from its last one in the limit before to its next one, and half an hour on",
    after=LOOK_AGAIN,
    told_by=(UnitCheck,),
    named_in=("unit_code",),
    settles=_settles_unit,
    back=True,
)


@rule(
    "cold.temperature",
    group="cold_storage",
    each=Each.KITCHEN,
    subjects=("cold_unit", "batch"),
    reads=(UnitCheck, *COOLING),
    reach=(UNIT, FOOD),
    limits=("cold_holding",),
    source=AGAIN,
    critical=Critical.NOT_MET,
    sets_aside=("batch",),
    not_met=("chill", "discard", "hold_for_evaluation"),
)
def report_cold_storage(judged: Judged, kitchen_: kitchen.Kitchen) -> None:
    """Food over the limit: not met, one finding a run.

    Air over it: not shown, unless food of that unit is read cold in the next 30 min. Once a batch has cooled, its
    readings too.
    """
    for batch in kitchen_.batches():
        if batch.plan.has("cold_storage"):
            report_cold_batch(judged, batch)
    for unit in kitchen_.site.equipment.values():
        if unit.kind == "cold_unit":
            report_cold_unit(judged, unit.code)


def report_cold_unit(judged: Judged, code: str) -> None:
    """Report runs of readings over the cold limit, each at most a business day long.

    Air counts once half an hour went by without food read cold.
    """
    report, kitchen_, calendar = judged.report, judged.kitchen, judged.calendar
    checks = checks_of(kitchen_, code)
    read: list[tuple[UnitCheck, Temperature, Verdict | None]] = []
    for check in checks:
        plan = kitchen_.plan_at(check.observed_at)
        verdict = judge_check(check, checks, plan=plan, as_of=report.as_of)
        if plan.has("cold_storage") and verdict is not Verdict.PENDING:
            read.append((check, check.reading, None if verdict is Verdict.MET else verdict))
    subject = report.subject("cold_unit", code)
    report_runs(
        report,
        subject,
        read,
        plan_of=lambda check: kitchen_.plan_at(check.observed_at),
        last_until=lambda at: calendar.bounds(calendar.day_of(at))[1],
    )


def judge_check(check: UnitCheck, checks: Sequence[UnitCheck], *, plan: Plan, as_of: datetime) -> Verdict:
    """Judge a check of a cold unit among all checks of it: food over the limit is not met.

    Air over the limit is pending for half an hour, and where food was read cold by then; else not shown.
    """
    limit = plan.limits.cold_holding
    if limit.at_or_below(check.reading):
        return Verdict.MET
    if check.of == "food":
        return Verdict.NOT_MET
    until = check.observed_at + LOOK_AGAIN
    foods = [e for e in checks if e.of == "food" and check.observed_at <= e.observed_at <= until]
    if any(limit.at_or_below(food.reading) for food in foods) or as_of < until:
        return Verdict.PENDING
    return Verdict.NOT_SHOWN


@rule(
    "cold.check_interval",
    group="cold_storage",
    each=Each.DAY,
    subjects=("cold_unit",),
    reads=(UnitCheck,),
    reach=(DAY,),
    limits=("cold_checks_per_day",),
    not_met=("none", "discard", "hold_for_evaluation"),
)
def report_unchecked_units(judged: Judged, day: Day) -> None:
    """A cold unit had fewer checks than the plan asks for, on a day with entries: not shown, at the day's end."""
    if judged.report.as_of < day.ends_at or not day.has_work:
        return
    checks = [entry.unit_code for entry in day.seen if isinstance(entry, UnitCheck)]
    for unit in judged.kitchen.site.equipment.values():
        if unit.kind == "cold_unit" and _is_listed(unit, day) and checks.count(unit.code) < _wanted(day):
            _add_unchecked(judged.report, unit, day, checks.count(unit.code))


def _wanted(day: Day) -> int:
    return day.plan.limits.cold_checks_per_day


def _add_unchecked(report: Report, unit: Equipment, day: Day, checks: int) -> None:
    report.add(
        "cold.check_interval",
        report.subject("cold_unit", unit.code),
        Verdict.NOT_SHOWN,
        onset_at=day.ends_at,
        day=day.day,
        measured={"checks": checks},
        limit={"cold_checks_per_day": _wanted(day)},
        source=day.plan.source("cold_checks_per_day"),
        plan=day.plan,
    )


def _is_listed(unit: Equipment, day: Day) -> bool:
    """Whether a unit was listed the whole day."""
    retired = unit.retired_at is not None and unit.retired_at < day.ends_at
    return not retired and (unit.since is None or unit.since <= day.starts_at)
