"""Records for a spreadsheet: which table, which days, and the file, sent a row at a time as it is made."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, Response, abort, request, stream_with_context
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField

from app import clock, ledger
from app.kinds.permissions import Permission
from app.server import get_database
from app.server.spreadsheet import FEW, MANY, TABLES, Span, csv_lines, rows_of

from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .period import Period, PeriodForm, read_period

blueprint = Blueprint("export", __name__, url_prefix="/export")

_USUAL = timedelta(days=28)
_DAYS_A_SECOND = 20
"""About so many days are assessed in a second on a small computer."""
_ONE_DAY = timedelta(days=1)


class ExportForm(PeriodForm):
    """Which table of which days."""

    table = RadioField(
        _l("What"),
        choices=lambda: {name: f"{_(one.title)}: {_(one.says)}" for name, one in TABLES.items()},
        validate_choice=False,
    )


@dataclass(frozen=True, slots=True)
class Offer:
    """A file that can be had: its address, its name, for how many days, and about how long it takes."""

    table: str
    file: str
    period: Period
    seconds: int
    """0 where it takes no time worth telling."""


@blueprint.get("")
@requires(Permission.READ_LEDGER)
def index() -> ResponseReturnValue:
    """Ask for a table and days, and offer the file."""
    form = ExportForm(request.args)
    is_asked = bool(form.table.data)
    form.table.data = form.table.data or next(iter(TABLES))
    period = _period(form) if is_asked else read_period(form, usual=_USUAL)
    offer = _offer(form.table.data, period) if is_asked and period else None
    return page("review/export.html", 422 if form.errors_at() else 200, form=form, offer=offer)


@blueprint.get("/<table>.csv")
@requires(Permission.READ_LEDGER)
def file(table: str) -> ResponseReturnValue:
    """Send a table, a row at a time: however long it is, it takes no more memory."""
    if table not in TABLES:
        abort(404)
    form = ExportForm(request.args)
    form.table.data = table
    period = _period(form)
    if period is None:
        return page("review/export.html", 422, form=form, offer=None)
    span = Span(code=identity.current().site.code, first=period.first, last=period.last, as_of=clock.utc_now())
    headers = {
        "Content-Disposition": f'attachment; filename="{_file_name(table, period)}"',
        "X-Days": str(period.days),
    }
    return Response(stream_with_context(_lines(table, span)), mimetype="text/csv", headers=headers)


def _period(form: ExportForm) -> Period | None:
    if form.table.data not in TABLES:
        form.refuse("table", _("Choose one of these."))
    period = read_period(form, usual=_USUAL)
    if period is None or form.errors_at():
        return None
    code = identity.current().site.code
    with get_database().reading() as session:
        calendar = ledger.calendar_of(session, code)
        ends_at = calendar.start_of(period.last + _ONE_DAY)
        if not ledger.has_entries(session, code, calendar.start_of(period.first), ends_at):
            form.refuse("first", _("There are no entries of these days. Choose others."))
            return None
    return period


def _offer(name: str, period: Period) -> Offer:
    seconds = period.days // _DAYS_A_SECOND if TABLES[name].is_slow else 0
    return Offer(name, _file_name(name, period), period, seconds)


def _file_name(name: str, period: Period) -> str:
    code = identity.current().site.code
    return f"{code}-{name}-{period.first.isoformat()}-{period.last.isoformat()}.csv"


def _lines(name: str, span: Span) -> Iterator[bytes]:
    with get_database().reading() as session:
        head, rows = rows_of(session, name, span)
        # A day that is assessed takes a while: who waits sees how far it is.
        for lines in csv_lines(head, rows, FEW if TABLES[name].is_slow else MANY):
            yield lines.encode()
