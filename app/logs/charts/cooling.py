"""A batch's cooling against its two marks: by when it has to be down to which temperature."""

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from app import words
from app.kinds import Temperature, temperature_of
from app.rules.day.subjects_shown import BatchView
from app.rules.forecasts.forecast import Forecast
from app.rules.meaning import cooling as meaning
from app.rules.plans.limits import TemperatureLimit
from app.words.marking import gettext as _

from .chart import Chart, Table
from .drawing import INK, Board, Clock, axis_unit, draw, limit_height, on_axis
from .expected import draw_expected

_Mark = tuple[TemperatureLimit, datetime]
_Read = tuple[datetime, Temperature]


def batch_chart(batch: BatchView, *, zone: ZoneInfo, forecasts: Sequence[Forecast | None] = (None, None)) -> Chart:
    """Draw a batch's readings and its two marks. `forecasts`: when it is expected to pass each of them, if it is."""
    marks = [(limit, stage.due_at) for _name, limit, stage in meaning.marks(batch)]
    readings = _while_cooling(batch, marks)
    unit = axis_unit([reading for _at, reading in readings])
    moments = [batch.started_at, *(at for at, _reading in readings), *(due for _limit, due in marks)]
    clock = Clock.over(moments, zone)

    def paint(board: Board) -> None:
        board.show_clock(clock)
        places = [clock.minute(at) for at, _reading in readings]
        board.top.plot(places, [on_axis(reading, unit) for _at, reading in readings], color=INK, marker="o")
        board.top.set_ylim(0 if unit == "C" else 32, max(60 if unit == "C" else 140, board.top.get_ylim()[1]))
        for (limit, due), forecast in zip(marks, forecasts, strict=False):
            label = _("%(limit)s by %(due)s", limit=words.limit(limit, unit), due=words.local_time(due, zone))
            _draw_mark(board, limit_height(limit, unit), clock.minute(due), label)
            if forecast:
                draw_expected(board, forecast, clock, limit_height(limit, unit))
        board.top.set_ylabel(f"°{unit}")
        board.show_legend()

    title = _title(batch, marks, zone)
    return Chart(
        title,
        lambda shape: draw(paint, shape, name=f"batch-{batch.batch}", title=title),
        lambda: _table(batch, readings, marks, zone),
    )


def _while_cooling(batch: BatchView, marks: Sequence[_Mark]) -> list[_Read]:
    """Give the readings up to the first one at or after the last mark: what comes later is cold storage."""
    readings = [(entry.observed_at, read) for entry in batch.history if (read := temperature_of(entry)) is not None]
    if not marks:
        return readings
    last = max(due for _limit, due in marks)
    in_time = [at for at, _reading in readings if at < last]
    return readings[: len(in_time) + 1]


def _draw_mark(board: Board, height: float, due: float, label: str) -> None:
    """Draw where no reading may be: later than the mark's time and over its temperature."""
    low, high = board.top.get_ylim()
    board.top.axhline(height, color=INK, linewidth=0.7, linestyle=(0, (1, 3)))
    board.top.plot([due, due], [height, high], color=INK, linewidth=1.8)
    right = board.top.get_xlim()[1]
    board.top.plot([due, max(right, due)], [height, height], color=INK, linewidth=1.8)
    board.top.set_ylim(low, high)
    board.write_at_right(board.top, height, label)


def _title(batch: BatchView, marks: Sequence[_Mark], zone: ZoneInfo) -> str:
    if not marks:
        return _(
            "Batch %(batch)s, cooling from %(start)s.",
            batch=batch.batch,
            start=words.local_time(batch.started_at, zone),
        )
    asked = [
        _("%(limit)s by %(due)s", limit=words.limit(limit), due=words.local_time(due, zone)) for limit, due in marks
    ]
    return _(
        "Batch %(batch)s, cooling from %(start)s; it has to be down to %(marks)s.",
        batch=batch.batch,
        start=words.local_time(batch.started_at, zone),
        marks=words.joined(asked),
    )


def _table(batch: BatchView, readings: Sequence[_Read], marks: Sequence[_Mark], zone: ZoneInfo) -> Table:
    rows = [(at, words.measured(reading), "") for at, reading in readings]
    rows += [(due, "", _("due: %(limit)s", limit=words.limit(limit))) for limit, due in marks]
    rows.append((batch.started_at, "", _("cooling starts")))
    rows.sort(key=lambda row: row[0])
    cells = tuple((words.local_time(at, zone), words.duration(at - batch.started_at), *rest) for at, *rest in rows)
    return Table((_("Seen"), _("Since the start"), _("Read"), _("Mark")), cells)
