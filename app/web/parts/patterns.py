"""`/patterns`: every part of the pages on one page, for those who build and review them."""

from datetime import UTC, datetime
from decimal import Decimal

from flask import Blueprint
from flask.typing import ResponseReturnValue
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, RadioField, StringField

from app.kinds import Temperature
from app.kinds.permissions import Permission
from app.logs.drawings import BirdDrawn, Rod, Tick, TimeLine
from app.rules.facts import Verdict

from ..signin.identity import requires
from .forms import EntryForm
from .pages import page

blueprint = Blueprint("patterns", __name__)


class PatternsForm(EntryForm):
    """One field of each sort; it is never sent."""

    temperature = StringField(_l("Temperature"), default="164.9")
    place = RadioField(_l("Place"), choices={"breast": "breast", "thigh": "thigh"}, default="breast")
    method = RadioField(_l("Method"), choices={"ice": "ice point", "boiling": "boiling point"}, default="ice")
    adjusted = BooleanField(_l("The probe was adjusted"))
    reason = StringField(_l("Reason"))


@blueprint.get("/patterns")
@requires(Permission.OWN_ACCOUNT)
def patterns() -> ResponseReturnValue:
    """Show every part."""
    form = PatternsForm()
    form.refuse("reason", "Reason: this is needed.")
    return page("patterns.html", form=form, verdicts=list(Verdict), rod=_ROD, lines=_LINES)


def _reading(value: str) -> Temperature:
    return Temperature(Decimal(value), "F")


_ROD = Rod(
    spit=2,
    birds=(
        BirdDrawn(bird=1, reading=_reading("166.8"), state="good"),
        BirdDrawn(bird=2, reading=_reading("158"), state="low"),
        BirdDrawn(bird=3, reading=None, state="unread"),
        BirdDrawn(bird=4, reading=None, state="gone"),
        BirdDrawn(bird=5, reading=None, state="unread"),
    ),
)


def _at(hour: int, minute: int) -> datetime:
    return datetime(2026, 1, 1, hour, minute, tzinfo=UTC)


_LINES = (
    TimeLine(
        ticks=(
            Tick(x=0, kind="opened", at=_at(12, 0)),
            Tick(x=250, kind="hot", at=_at(13, 0)),
            Tick(x=1000, kind="due", at=_at(16, 0)),
        ),
        out=None,
        unknown=None,
        now=700,
    ),
    TimeLine(
        ticks=(Tick(x=0, kind="opened", at=_at(12, 0)), Tick(x=500, kind="due", at=_at(13, 30))),
        out=None,
        unknown=(500, 1000),
        now=1000,
    ),
    TimeLine(
        ticks=(
            Tick(x=0, kind="opened", at=_at(12, 0)),
            Tick(x=300, kind="low", at=_at(13, 0)),
            Tick(x=500, kind="mark", minutes=120),
            Tick(x=1000, kind="end", at=_at(16, 0)),
        ),
        out=(0, 400),
        unknown=None,
        now=400,
    ),
)
"""In time; overdue, nothing known since; out of temperature, with its first mark and its end."""
