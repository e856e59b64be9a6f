"""Runs of readings out of the cold limit: one finding a run, opened by its first reading."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

from app.kinds import Entry, Subject, Temperature

from ..day.report import Report, shown
from ..facts import Verdict, worst
from ..plans.plan import Plan

LOOK_AGAIN = timedelta(minutes=30)
"""How soon a reading of the food must follow a unit's air out of its limit (house)."""
AGAIN = f"looked at again within {LOOK_AGAIN // timedelta(minutes=1)} min: house"
"""Where that comes from, as a rule's source."""

PlanOf = Callable[[Entry], Plan]
Judgements = Iterable[tuple[Entry, Temperature, Verdict | None]]
"""Readings in order of time; None stands for a good one, which ends a run."""


def report_runs(
    report: Report,
    subject: Subject,
    readings: Judgements,
    *,
    plan_of: PlanOf,
    last_until: Callable[[datetime], datetime] | None = None,
) -> None:
    """Report each run of readings that has a verdict, by the plan of its first reading.

    `last_until` gives when a run that begins at a moment ends at the latest; None for runs without such an end.
    """
    run: list[_Over] = []
    latest: datetime | None = None
    for entry, reading, verdict in readings:
        if run and latest is not None and entry.observed_at >= latest:
            _add(report, subject, run, ended_at=latest, plan=plan_of(run[0][0]))
            run = []
        if verdict is not None:
            latest = last_until(entry.observed_at) if last_until and not run else latest
            run.append((entry, reading, verdict))
        elif run:
            _add(report, subject, run, ended_at=entry.observed_at, plan=plan_of(run[0][0]))
            run = []
    if run:
        is_over = latest is not None and report.as_of >= latest
        _add(report, subject, run, ended_at=latest if is_over else None, plan=plan_of(run[0][0]))


_Over = tuple[Entry, Temperature, Verdict]


def _add(report: Report, subject: Subject, run: list[_Over], *, ended_at: datetime | None, plan: Plan) -> None:
    first, reading, _verdict = run[0]
    report.add(
        "cold.temperature",
        subject,
        worst(verdict for _, _, verdict in run),
        opener=first,
        rests_on=[entry for entry, _, _ in run[1:]],
        found_at=min(_shown_at(entry, verdict) for entry, _, verdict in run),
        ended_at=ended_at,
        measured=shown(reading),
        limit=plan.limits.cold_holding.printed(),
        source=plan.source("cold_holding"),
        plan=plan,
    )


def _shown_at(entry: Entry, verdict: Verdict) -> datetime:
    """Air over the limit tells nothing until the time for a reading of the food is over."""
    return entry.observed_at + (LOOK_AGAIN if verdict is Verdict.NOT_SHOWN else timedelta(0))
