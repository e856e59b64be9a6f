"""Runs of readings out of the cold limit: one finding a run, opened by its first reading."""

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

from app.kinds import Entry, Subject

from ..day.report import Report
from ..facts import Verdict, worst
from ..plans.plan import Plan

LOOK_AGAIN = timedelta(minutes=30)
"""How soon a reading of the food must follow a unit's air out of its limit (design 4.8, house)."""

PlanOf = Callable[[Entry], Plan]


def report_runs(
    report: Report, subject: Subject, readings: Iterable[tuple[Entry, Verdict | None]], *, plan_of: PlanOf
) -> None:
    """Report each run of readings that has a verdict; None stands for a good reading, which ends a run.

    A run is told by the plan of its first reading.
    """
    run: list[tuple[Entry, Verdict]] = []
    for entry, verdict in readings:
        if verdict is not None:
            run.append((entry, verdict))
        elif run:
            _add(report, subject, run, ended_by=entry, plan=plan_of(run[0][0]))
            run = []
    if run:
        _add(report, subject, run, ended_by=None, plan=plan_of(run[0][0]))


def _add(
    report: Report, subject: Subject, run: list[tuple[Entry, Verdict]], *, ended_by: Entry | None, plan: Plan
) -> None:
    first = run[0][0]
    report.add(
        "cold.temperature",
        subject,
        worst(verdict for _, verdict in run),
        opener=first,
        rests_on=[entry for entry, _ in run[1:]],
        found_at=min(_shown_at(entry, verdict) for entry, verdict in run),
        ended_at=ended_by.observed_at if ended_by else None,
        measured={"temperature": first.fields["temperature"], "unit": first.fields["unit"]},
        limit=plan.limits.cold_holding.printed(),
        source=plan.source("cold_holding"),
        plan=plan,
    )


def _shown_at(entry: Entry, verdict: Verdict) -> datetime:
    """Air over the limit tells nothing until the time for a reading of the food is over."""
    return entry.observed_at + (LOOK_AGAIN if verdict is Verdict.NOT_SHOWN else timedelta(0))
