"""A probe's checks over time: how far off it read, against how far off it may be."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

from app import words
from app.rules.facts import Verdict
from app.rules.subjects.probe_checks import CheckResult, error_in
from app.words.marking import gettext as _
from app.words.marking import ngettext

from .chart import Chart, Table
from .drawing import INK, Board, Clock, draw


def probe_chart(probe: str, checks: Sequence[CheckResult], *, tolerance: tuple[Decimal, str], zone: ZoneInfo) -> Chart:
    """Draw a probe's checks, in the unit of its tolerance: (how far off it may be, F or C)."""
    allowed, unit = tolerance
    measured = [(check, error) for check in checks if (error := _error(check, unit)) is not None]
    clock = Clock.over([check.entry.observed_at for check in checks], zone)

    def paint(board: Board) -> None:
        board.top.axhline(0, color=INK, linewidth=0.6)
        for edge in (allowed, -allowed):
            board.draw_edge(float(edge), words.degrees(edge, unit))
        _draw_errors(board, measured, clock)
        for check in checks:
            if check.error is None:
                _draw_without_number(board, check.entry.observed_at, clock)
        board.top.set_ylabel(_("error, °%(unit)s", unit=unit))
        board.show_clock(clock)
        board.show_legend()

    title = ngettext(
        "Probe %(probe)s: %(count)s check; it may be off by %(tolerance)s.",
        "Probe %(probe)s: %(count)s checks; it may be off by %(tolerance)s.",
        len(checks),
        probe=probe,
        count=len(checks),
        tolerance=words.degrees(allowed, unit),
    )
    return Chart(
        title, lambda shape: draw(paint, shape, name=f"probe-{probe}", title=title), lambda: _table(checks, zone)
    )


def _draw_errors(board: Board, measured: Sequence[tuple[CheckResult, Decimal]], clock: Clock) -> None:
    """Draw how far off each check was; its mark says whether it passed."""
    for passes, mark in ((True, "o"), (False, "X")):
        some = [(check, error) for check, error in measured if check.passes is passes]
        places = [clock.minute(check.entry.observed_at) for check, _error in some]
        label = words.verdict_word(Verdict.MET if passes else Verdict.NOT_MET)
        if some:
            board.top.plot(places, [float(error) for _check, error in some], mark, color=INK, label=label)


def _draw_without_number(board: Board, at: datetime, clock: Clock) -> None:
    """Draw a check at which the probe showed nothing: it failed, however far off it may have been."""
    place, middle = clock.minute(at), clock.minute(clock.end) / 2
    board.draw_event(place, _("no display"), height=0.7, before=place > middle)


def _error(check: CheckResult, unit: str) -> Decimal | None:
    """Give the error on the chart's scale; converted for the eye only, the check itself was judged unrounded."""
    return None if check.error is None else error_in(unit, check)


def _table(checks: Sequence[CheckResult], zone: ZoneInfo) -> Table:
    rows = []
    for check in checks:
        entry = check.entry
        reading = entry.reading
        read = _("no display") if reading is None else words.measured(reading)
        error = "" if check.error is None or reading is None else words.degrees(round(check.error, 2), reading.unit)
        verdict = words.verdict_word(Verdict.MET if check.passes else Verdict.NOT_MET)
        method = words.method_word(entry.method)
        rows.append((words.local_date_time(entry.observed_at, zone), method, read, error, verdict))
    return Table((_("Seen"), _("Method"), _("Read"), _("Error"), _("Verdict")), tuple(rows))
