"""Nothing unaccounted: birds at the end of a day, ties and skewers when the last bird of a spit is pulled."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from ..day.report import Report
from ..facts import Verdict
from ..history import kitchen
from .holding import Due

_ONE_DAY = timedelta(days=1)

StartOf = Callable[[date], datetime]


def report_birds_on_spit(report: Report, spit: kitchen.Holder, start_of: StartOf) -> None:
    """Report a spit whose birds were not pulled by the end of a day, once, in the first day that ends so."""
    for day, ends_at in _ends(report, spit, start_of):
        if spit.birds_at(ends_at) > 0:
            _add(report, spit, day, ends_at)
            return


def report_birds_in_tray(
    report: Report, tray: kitchen.Tray, start_of: StartOf, *, dues: list[Due], discard_at: datetime | None
) -> None:
    """Report a tray with birds whose check, or discard time, had passed by the end of a day; once."""
    grace = timedelta(minutes=tray.plan.limits.grace_min)
    for day, ends_at in _ends(report, tray, start_of):
        if tray.birds_at(ends_at) <= 0:
            return
        if _overdue(dues, ends_at, grace) or (discard_at is not None and discard_at < ends_at):
            _add(report, tray, day, ends_at)
            return


def _overdue(dues: list[Due], at: datetime, grace: timedelta) -> bool:
    return any(due.due_at + grace < at and (due.met_at is None or due.met_at >= at) for due in dues)


def _ends(report: Report, holder: kitchen.Holder, start_of: StartOf) -> list[tuple[date, datetime]]:
    """Day ends at which the holder may still hold birds, up to `as_of`."""
    until = min(report.as_of, holder.emptied.at) if holder.emptied else report.as_of
    day, ends = report.day_of(holder.opened_at), []
    while (ends_at := start_of(day + _ONE_DAY)) <= until:
        ends.append((day, ends_at))
        day += _ONE_DAY
    return ends


def _add(report: Report, holder: kitchen.Holder, day: date, ends_at: datetime) -> None:
    report.add(
        "birds.balance",
        holder.subject,
        Verdict.NOT_SHOWN,
        opener=holder.opener,
        onset_at=ends_at,
        day=day,
        ended_at=holder.emptied.at if holder.emptied else None,
        measured={"birds": holder.birds_at(ends_at)},
        limit={"birds": 0},
        source="birds held at the end of a day: house",
        plan=holder.plan,
    )


def report_ties(report: Report, spit: kitchen.Holder) -> None:
    """Report ties or skewers that do not come out even when a spit's last bird is pulled."""
    if spit.emptied is None or not spit.outs:
        return
    counts = {what: _counts(spit, what) for what in ("ties", "skewers")}
    verdicts = {what: _judge(*pair) for what, pair in counts.items()}
    if all(verdict is Verdict.MET for verdict in verdicts.values()):
        return
    short = Verdict.NOT_MET in verdicts.values()
    report.add(
        "ties.balance",
        spit.subject,
        Verdict.NOT_MET if short else Verdict.NOT_SHOWN,
        opener=spit.outs[-1].entry,
        rests_on=[move.entry for move in (*spit.fills, *spit.outs[:-1])],
        measured={f"{what}_off": off for what, (_, off) in counts.items() if off is not None},
        limit={f"{what}_on": on for what, (on, _) in counts.items() if on is not None},
        source="ties and skewers counted off as counted on: house",
        plan=spit.plan,
    )


def _counts(spit: kitchen.Holder, what: str) -> tuple[int | None, int | None]:
    on = [move.entry.fields[what] for move in spit.fills if what in move.entry.fields]
    name = f"{what}_removed"
    off = [move.entry.fields[name] for move in spit.outs if name in move.entry.fields]
    return (sum(on) if on else None), (sum(off) if off else None)


def _judge(on: int | None, off: int | None) -> Verdict:
    if off is None:
        return Verdict.NOT_SHOWN if on else Verdict.MET
    if off == (on or 0):
        return Verdict.MET
    return Verdict.NOT_MET if off < (on or 0) else Verdict.NOT_SHOWN
