"""A tray's life: its readings against the limit above, the birds in it below."""

from collections.abc import Sequence
from decimal import Decimal
from zoneinfo import ZoneInfo

from app import words
from app.kinds import Entry, HoldReading, Subject, TimeControlStarted, TrayMoved, of_kind
from app.rules.day.subjects_shown import TrayView
from app.rules.forecasts.forecast import Forecast
from app.rules.plans.limits import TemperatureLimit
from app.words.marking import gettext as _
from app.words.marking import ngettext

from .chart import Chart, Table
from .drawing import INK, Board, Clock, axis_unit, draw, limit_height, on_axis
from .expected import draw_expected

_BELOW_F, _ABOVE_F = 10, 20
"""What is shown around the limit at least."""


def tray_chart(tray: TrayView, *, limit: TemperatureLimit, zone: ZoneInfo, forecast: Forecast | None = None) -> Chart:
    """Draw a tray's readings and how many birds it held."""
    readings = of_kind(tray.history, HoldReading)
    unit = axis_unit([entry.reading for entry in readings])
    moments = [tray.opened_at, *(entry.observed_at for entry in tray.history)]
    if forecast:
        moments += [forecast.about, forecast.latest or forecast.about]
    clock = Clock.over(moments, zone)

    def paint(board: Board) -> None:
        board.draw_limit(limit, unit)
        places = [clock.minute(entry.observed_at) for entry in readings]
        board.top.plot(places, [on_axis(entry.reading, unit) for entry in readings], color=INK, marker="o")
        board.show_around(limit_height(limit, unit), unit, below=_BELOW_F, above=_ABOVE_F)
        if forecast:
            draw_expected(board, forecast, clock, limit_height(limit, unit))
        board.top.set_ylabel(f"°{unit}")
        _draw_birds(board, tray, clock)
        _draw_control(board, tray.history, clock)
        _draw_moves(board, tray.history, clock)
        board.show_clock(clock)
        board.show_legend()

    title = _title(tray, limit, len(readings))
    return Chart(
        title,
        lambda shape: draw(paint, shape, name=f"tray-{tray.tray}", title=title, heights=(3, 1)),
        lambda: _table(tray, zone),
    )


def _title(tray: TrayView, limit: TemperatureLimit, count: int) -> str:
    return ngettext(
        "Tray %(tray)s: %(count)s reading against the limit of %(limit)s, and the birds in it.",
        "Tray %(tray)s: %(count)s readings against the limit of %(limit)s, and the birds in it.",
        count,
        tray=tray.tray,
        count=count,
        limit=words.limit(limit),
    )


def _draw_birds(board: Board, tray: TrayView, clock: Clock) -> None:
    """Draw in the lower diagram how many birds the tray held."""
    held = _held(tray)
    places = [clock.minute(entry.observed_at) for entry, _birds in held]
    counts = [float(birds) for _entry, birds in held]
    axes = board.panels[1]
    axes.step([*places, clock.minute(clock.end)], [*counts, counts[-1]], where="post", color=INK)
    axes.set_ylim(0, max(counts) * 1.15)
    axes.locator_params(axis="y", integer=True, nbins=3)
    axes.set_ylabel(_("birds"))


def _held(tray: TrayView) -> list[tuple[Entry, Decimal]]:
    subject, birds, held = Subject("tray", tray.tray), Decimal(0), []
    for entry in tray.history:
        moved = [flow.birds for flow in entry.flows() if flow.subject == subject]
        if moved:
            birds += sum(moved)
            held.append((entry, birds))
    return held


def _draw_control(board: Board, history: Sequence[Entry], clock: Clock) -> None:
    """Hatch the time under time as the control: no temperature is asked for there."""
    start = next(iter(of_kind(history, TimeControlStarted)), None)
    if start is None:
        return
    begins, ends = clock.minute(start.observed_at), clock.minute(clock.end)
    label = _("time control")
    board.top.axvspan(begins, ends, facecolor="none", edgecolor=INK, hatch="..", linewidth=0.5, label=label)


def _draw_moves(board: Board, history: Sequence[Entry], clock: Clock) -> None:
    """Draw when the tray was moved, and to which unit."""
    for entry in of_kind(history, TrayMoved):
        board.draw_event(clock.minute(entry.observed_at), _("to %(unit)s", unit=entry.hot_unit))


def _table(tray: TrayView, zone: ZoneInfo) -> Table:
    held = {entry.id: words.bird_count(birds) for entry, birds in _held(tray)}
    rows = []
    for entry in tray.history:
        said = words.entry_words(entry, zone)
        row = (words.local_time(entry.observed_at, zone), said.what, said.value, held.get(entry.id, ""))
        rows.append(row)
    return Table((_("Seen"), _("Entry"), _("Read or counted"), _("Birds then held")), tuple(rows))
