"""Deliveries, their lots, and cold units. (design: cooking for lots; cold, receiving)"""

from collections.abc import Sequence
from datetime import date, datetime

from app.kinds import Entry

from ..day.report import Report
from ..facts import Equipment, Verdict
from ..history import kitchen
from ..plans.plan import Plan
from .runs import LOOK_AGAIN, report_runs


def report_receiving(report: Report, delivery: Entry, plan: Plan) -> None:
    """Report a chilled delivery accepted over the limit, or without a temperature."""
    fields, reading = delivery.fields, delivery.temperature
    if fields["decision"] != "accepted" or fields["state"] != "chilled":
        return
    if reading is not None and plan.limits.receive_cold.at_or_below(reading):
        return
    report.add(
        "receive.temperature",
        report.subject("receiving", fields["lot"]),
        Verdict.NOT_SHOWN if reading is None else Verdict.NOT_MET,
        opener=delivery,
        measured={} if reading is None else {"temperature": reading.value, "unit": reading.unit},
        limit=plan.limits.receive_cold.printed(),
        source=plan.source("receive_cold"),
        plan=plan,
    )


def report_lots(report: Report, kitchen_: kitchen.Kitchen, load: kitchen.Load) -> None:
    """Report lots cooked that no delivery names, or that were rejected or past their date."""
    for lot, first in _first_loadings(load).items():
        deliveries = [entry for entry in kitchen_.of_kind("receiving") if entry.fields["lot"] == lot]
        if not deliveries:
            _add_lot(report, load, "lot.known", Verdict.NOT_SHOWN, first, [])
            continue
        accepted = [entry for entry in deliveries if entry.fields["decision"] == "accepted"]
        if not accepted or is_past(accepted, report.day_of(first.observed_at)):
            _add_lot(report, load, "lot.rejected", Verdict.NOT_MET, first, deliveries)


def _first_loadings(load: kitchen.Load) -> dict[str | None, Entry]:
    first: dict[str | None, Entry] = {}
    loadings = [move.entry for spit in load.spits.values() for move in spit.fills if move.entry.kind == "spit_loaded"]
    for entry in sorted(loadings, key=lambda entry: (entry.observed_at, entry.root_seq)):
        first.setdefault(entry.fields.get("lot"), entry)
    return first


def is_past(accepted: Sequence[Entry], day: date) -> bool:
    """Whether a business day is past the latest use-by date that the accepted deliveries name."""
    dates = [entry.fields["use_by"] for entry in accepted if "use_by" in entry.fields]
    return bool(dates) and day > max(dates)


def _add_lot(
    report: Report, load: kitchen.Load, rule: str, verdict: Verdict, first: Entry, deliveries: Sequence[Entry]
) -> None:
    lot = first.fields.get("lot")
    use_by = [entry.fields["use_by"] for entry in deliveries if "use_by" in entry.fields]
    report.add(
        rule,
        report.subject("load", load.name),
        verdict,
        opener=first,
        rests_on=deliveries,
        measured={} if lot is None else {"lot": lot},
        limit={"use_by": max(use_by)} if use_by else {},
        source="lots traced to an accepted delivery within its date: house",
        plan=load.plan,
    )


def checks_of(kitchen_: kitchen.Kitchen, code: str) -> list[Entry]:
    """Give the checks of one unit in order of time."""
    return [entry for entry in kitchen_.of_kind("unit_check") if entry.fields["unit_code"] == code]


def report_cold_unit(report: Report, kitchen_: kitchen.Kitchen, code: str) -> None:
    """Report runs of readings over the cold limit; air counts once half an hour went by without food read cold."""
    checks = checks_of(kitchen_, code)
    judged: list[tuple[Entry, Verdict | None]] = []
    for check in checks:
        plan = kitchen_.plan_at(check.observed_at)
        verdict = _judge_check(report, plan, check, checks)
        if plan.has("cold_storage") and verdict is not Verdict.PENDING:
            judged.append((check, None if verdict is Verdict.MET else verdict))
    subject = report.subject("cold_unit", code)
    report_runs(report, subject, judged, plan_of=lambda check: kitchen_.plan_at(check.observed_at))


def _judge_check(report: Report, plan: Plan, check: Entry, checks: Sequence[Entry]) -> Verdict:
    limit = plan.limits.cold_holding
    if limit.at_or_below(check.reading):
        return Verdict.MET
    if check.fields["of"] == "food":
        return Verdict.NOT_MET
    until = check.observed_at + LOOK_AGAIN
    foods = [e for e in checks if e.fields["of"] == "food" and check.observed_at <= e.observed_at <= until]
    if any(limit.at_or_below(food.reading) for food in foods) or report.as_of < until:
        return Verdict.PENDING  # excused by the food, or still in time
    return Verdict.NOT_SHOWN


def report_unchecked_unit(
    report: Report, unit: Equipment, day: date, *, checks: int, bounds: tuple[datetime, datetime], plan: Plan
) -> None:
    """Report a cold unit with fewer checks than the plan asks for, on a day that is over and has entries."""
    wanted, ends_at = plan.limits.cold_checks_per_day, bounds[1]
    if report.as_of < ends_at or checks >= wanted or not _is_listed(unit, bounds):
        return
    report.add(
        "cold.check_interval",
        report.subject("cold_unit", unit.code),
        Verdict.NOT_SHOWN,
        onset_at=ends_at,
        day=day,
        measured={"checks": checks},
        limit={"cold_checks_per_day": wanted},
        source=plan.source("cold_checks_per_day"),
        plan=plan,
    )


def _is_listed(unit: Equipment, bounds: tuple[datetime, datetime]) -> bool:
    """Whether a unit was listed the whole day."""
    retired = unit.retired_at is not None and unit.retired_at < bounds[1]
    return not retired and (unit.since is None or unit.since <= bounds[0])
