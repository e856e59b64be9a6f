"""Runs of readings out of the cold limit: one finding a run, opened by its first reading."""

from collections.abc import Iterable

from .facts import Entry, Subject, Verdict, worst
from .plan import Plan
from .report import Report


def find_runs(
    report: Report, subject: Subject, readings: Iterable[tuple[Entry, Verdict | None]], *, plan: Plan
) -> None:
    """Report each run of readings that has a verdict; None stands for a good reading, which ends a run."""
    run: list[tuple[Entry, Verdict]] = []
    for entry, verdict in readings:
        if verdict is not None:
            run.append((entry, verdict))
        elif run:
            _add(report, subject, run, ended_by=entry, plan=plan)
            run = []
    if run:
        _add(report, subject, run, ended_by=None, plan=plan)


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
        ended_at=ended_by.observed_at if ended_by else None,
        measured={"temperature": first.fields["temperature"], "unit": first.fields["unit"]},
        limit=plan.limits.cold_holding.printed(),
        source=plan.source("cold_holding"),
        plan=plan,
    )
