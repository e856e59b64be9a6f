"""A reheat for hot holding: hot enough, held long enough, and in time. (design: reheating)"""

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import combinations

from app.kinds import Entry

from ..day.report import Report
from ..facts import Verdict, worst
from ..history.kitchen import Holder


def due_at(reheat: Holder) -> datetime:
    """When the food must have reached the reheating limit."""
    return reheat.opened_at + timedelta(minutes=reheat.plan.limits.reheat_min)


def _good(reheat: Holder, until: datetime) -> list[Entry]:
    limit = reheat.plan.limits.reheat_core
    return [e for _, e in reheat.readings if e.observed_at <= until and limit.at_or_above(e.reading)]


def judge_done(reheat: Holder, done: Entry) -> tuple[Verdict, Entry | None]:
    """Judge a reheat_done by the last reading before it: not met under the limit, not shown without a reading."""
    last = next((e for _, e in reversed(reheat.readings) if e.observed_at <= done.observed_at), None)
    if last is None:
        return Verdict.NOT_SHOWN, None
    good = reheat.plan.limits.reheat_core.at_or_above(last.reading)
    return (Verdict.MET if good else Verdict.NOT_MET), last


def report_reheating(report: Report, reheat: Holder) -> None:
    """Report a reheat that ended too cool, was not held, or took too long."""
    dones = [move.entry for move in reheat.outs if move.entry.kind == "reheat_done"]
    _report_temperature(report, reheat, dones)
    _report_dwell(report, reheat, dones)
    _report_time(report, reheat)


def _report_temperature(report: Report, reheat: Holder, dones: Sequence[Entry]) -> None:
    judged = [(done, *judge_done(reheat, done)) for done in dones]
    verdict = worst(result for _, result, _ in judged)
    if verdict is Verdict.MET:
        return
    done, _, last = next(row for row in judged if row[1] == verdict)
    report.add(
        "reheat.temperature",
        reheat.subject,
        verdict,
        opener=done,
        rests_on=[last] if last else [],
        measured={"temperature": last.fields["temperature"], "unit": last.fields["unit"]} if last else {},
        limit=reheat.plan.limits.reheat_core.printed(),
        source=reheat.plan.source("reheat_core"),
        plan=reheat.plan,
    )


def _report_dwell(report: Report, reheat: Holder, dones: Sequence[Entry]) -> None:
    dwell = reheat.plan.limits.reheat_dwell_s
    for done in dones:
        good = _good(reheat, done.observed_at)
        if good and not is_held(good, dwell_s=dwell):
            report.add(
                "reheat.dwell",
                reheat.subject,
                Verdict.NOT_SHOWN,
                opener=done,
                rests_on=good,
                measured={"held_s": max(entry.fields.get("held_s", 0) for entry in good)},
                limit={"held_s": dwell},
                source=reheat.plan.source("reheat_dwell_s"),
                plan=reheat.plan,
            )
            return


def is_held(good: Sequence[Entry], *, dwell_s: int) -> bool:
    """Whether readings at the limit show it held: by `held_s`, or two of them at least that far apart."""
    if any(entry.fields.get("held_s", 0) >= dwell_s for entry in good):
        return True
    dwell = timedelta(seconds=dwell_s)
    return any(later.observed_at - earlier.observed_at >= dwell for earlier, later in combinations(good, 2))


def _report_time(report: Report, reheat: Holder) -> None:
    due = due_at(reheat)
    good = _good(reheat, reheat.emptied.at if reheat.emptied else report.as_of)
    first_at = good[0].observed_at if good else None
    still_running = reheat.birds_left > 0 or (reheat.emptied is not None and reheat.emptied.at > due)
    late = first_at > due if first_at is not None else still_running and report.as_of >= due
    if not late:
        return
    report.add(
        "reheat.time",
        reheat.subject,
        Verdict.NOT_MET,
        opener=reheat.opener,
        rests_on=good[:1],
        onset_at=due,
        ended_at=first_at or (reheat.emptied.at if reheat.emptied else None),
        measured={"took_s": int(((first_at or report.as_of) - reheat.opened_at).total_seconds())},
        limit={"reheat_min": reheat.plan.limits.reheat_min},
        source=reheat.plan.source("reheat_min"),
        plan=reheat.plan,
    )
