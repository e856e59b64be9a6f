"""The days that trends look at: the range that is asked for, and its figures, kept for whoever reads next."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from flask import make_response, request
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, RadioField, StringField

from app import clock, ledger, register
from app.rules.figures.day_figures import DayFigures
from app.server import get_database
from app.server.keeping import PATIENCE_S, unless_away

from ..parts.page_form import PageForm
from ..setup.index import kitchen
from ..signin import identity
from .period import LONGEST, typed_day

AT_MOST = 20
"""Days assessed anew in one request: about a second's work on a busy kitchen."""
_WITHIN_S = 1.0
"""After so long no further day is begun in one request, on a slow machine or of very long days."""
_SPANS = {"4w": 28, "12w": 84, "year": 365}
_CARRY_ON_S = 1


class RangeForm(PageForm):
    """Which days to look at; the two dates count where they are asked for, or typed beside a choice left as it was."""

    span = RadioField(
        _l("Days"),
        choices=lambda: {
            "4w": _("the last 4 weeks"),
            "12w": _("the last 12 weeks"),
            "year": _("a year"),
            "dates": _("from one day to another"),
        },
        validate_choice=False,
    )
    first = StringField(_l("From"))
    last = StringField(_l("To"))
    shown = HiddenField()
    """The choice that the page came with."""

    def settle(self) -> None:
        """Settle which days are meant, and leave no date where none is."""
        typed = self.first.data or self.last.data
        if typed and self.span.data in ("", None, self.shown.data):
            self.span.data = "dates"
        self.shown.data = self.span.data = self.span.data or "4w"
        if self.span.data in _SPANS:
            self.first.data = self.last.data = ""


@dataclass(frozen=True, slots=True)
class Range:
    """Business days that are over, from one to another."""

    first: date
    last: date

    @property
    def query(self) -> dict[str, Any]:
        """As it stands in an address."""
        return {"first": self.first.isoformat(), "last": self.last.isoformat()}


@dataclass(frozen=True, slots=True)
class Read:
    """The figures of a range, and how many of its days are still to be added up."""

    range: Range
    """What was asked for, less the days before the first entry."""
    days: Sequence[DayFigures]
    missing: int


def asked_range() -> tuple[RangeForm, Range | None]:
    """Give the form as it was asked, and the range that it means; None where the form says what is wrong."""
    form = RangeForm(request.args)
    form.settle()
    yesterday = _today() - timedelta(days=1)
    if form.span.data in _SPANS:
        days = timedelta(days=_SPANS[form.span.data] - 1)
        return form, Range(yesterday - days, yesterday)
    if form.span.data != "dates":
        form.refuse("span", _("Choose one of these."))
        return form, None
    first, last = typed_day(form, "first"), typed_day(form, "last")
    if first is None or last is None or not _is_in_order(form, first, last):
        return form, None
    return form, Range(first, max(first, min(last, yesterday)))


def _is_in_order(form: RangeForm, first: date, last: date) -> bool:
    if last < first:
        form.refuse("last", _("This day is before the first one."))
    elif first >= _today():
        form.refuse("first", _("This day is not over yet: trends begin with days that are over."))
    elif (last - first).days >= LONGEST:
        form.refuse("first", _("These are more than two years. Choose fewer days."))
    return not form.errors_at()


def _today() -> date:
    with get_database().reading() as session:
        return ledger.today(session, identity.current().site.code, clock.utc_now())


def read_days(days: Range, *, details: bool = False) -> Read:
    """Read the figures of a range; what was made anew for it is kept."""
    code, now, database = identity.current().site.code, clock.utc_now(), get_database()
    until = clock.running_s() + _WITHIN_S
    with database.reading() as session:
        found = ledger.past_days(
            *(session, code, days.first, days.last),
            as_of=now,
            at_most=AT_MOST,
            go_on=lambda: clock.running_s() < until,
            details=details,
        )
    if found.update is not None:
        with unless_away("figures of past days"), database.writing(patience_s=PATIENCE_S) as session:
            ledger.keep_figures(session, code, found.update)
    return Read(Range(found.first or days.first, days.last), found.days, found.missing)


def find_bird_cost() -> register.BirdCost | None:
    """Give what a bird that is thrown away costs, as it is set today."""
    with get_database().reading() as session:
        return register.find_bird_cost(kitchen(session))


def with_refresh(answer: ResponseReturnValue, missing: int) -> ResponseReturnValue:
    """Give a page that, while days are still to be added up, asks for itself again: with or without a script."""
    response = make_response(answer)
    if missing:
        response.headers["Refresh"] = str(_CARRY_ON_S)
    return response
