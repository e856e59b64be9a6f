"""The parts of the first page that are the same for all of one kitchen who may do the same: made once for all of them.

Fifty tablets that ask within a second get one part; what somebody saved meanwhile is in the next one, and whoever asks
after it was saved gets that.
"""

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from flask import Response, render_template, request
from flask_babel import get_locale
from markupsafe import Markup

from app import clock, ledger
from app.rules.day.shown import Assessment
from app.server import get_database, pages_in_turn
from app.server.sharing import shared

from ..signin import identity
from .running_day import assess_today, show_short_names

_YOUNG = timedelta(seconds=5)
"""For how long a part is given again while nothing was written: minutes are the least that it tells of."""


@dataclass(frozen=True, slots=True)
class Reader:
    """All that a part may know of whoever reads it."""

    site: str
    role: str
    is_known: bool
    """Whether somebody is there, and not a tablet alone."""
    language: str
    root: str
    """What stands before every path, where a proxy serves other programs beside this one."""


@dataclass(frozen=True, slots=True)
class _Head:
    """The newest entry of a kitchen, and the moment by which its day is looked at."""

    seq: int
    hash: str
    at: datetime

    def covers(self, asked: "_Head") -> bool:
        """Whether what was made of this head is as good as made now: by the chain, the same hash stands on the same
        entries."""
        return (self.seq, self.hash) == (asked.seq, asked.hash) and abs(asked.at - self.at) < _YOUNG


@dataclass(frozen=True, slots=True)
class _Day:
    head: _Head
    assessment: Assessment


@dataclass(frozen=True, slots=True)
class Part:
    """A part of a page, and a name that is another one whenever its text is."""

    head: _Head
    html: Markup
    tag: str


def part(template: str, view_of: Callable[[Assessment], dict[str, object]]) -> Part:
    """Give a part made by a template from a view of the running day. Nothing personal may be in it but `reader`."""
    reader, asked = _reader(), _head()

    def make() -> Part:
        with pages_in_turn.turn():
            head = _head()
            html = Markup(render_template(template, reader=reader, **view_of(_today(reader.site))))  # noqa: S704  # ours
        return Part(head, html, hashlib.sha256(html.encode()).hexdigest()[:32])

    return shared((template, reader), is_current=lambda made: made.head.covers(asked), make=make)


def unless_known(part: Part) -> Response:
    """Answer with a part alone; with 304 where whoever asks has it already."""
    response = Response(part.html)
    response.set_etag(part.tag)
    response.make_conditional(request)
    return response


def newest_entry() -> str:
    """Give the hash of the kitchen's newest entry: while it stays, nothing was saved."""
    return _head().hash


def newest_seq() -> int:
    """Give the number of the kitchen's newest entry: what a page that is opened now knows."""
    return _head().seq


def day_at_present() -> Assessment:
    """Give the assessment of the running day, made once for all who ask."""
    with pages_in_turn.turn():
        return _today(identity.current().site.code)


def _today(site: str) -> Assessment:
    """Give the assessment of the running day, as it stood when it was asked for or later."""
    asked = _head()

    def make() -> _Day:
        head = _head()  # looked up first: what is assessed has at least that
        return _Day(head, assess_today())

    assessment = shared(("day", site), is_current=lambda day: day.head.covers(asked), make=make).assessment
    show_short_names(assessment)
    return assessment


def _reader() -> Reader:
    who = identity.current()
    return Reader(
        site=who.site.code,
        role=who.role,
        is_known=who.somebody is not None,
        language=str(get_locale() or "en"),
        root=request.script_root,
    )


def _head() -> _Head:
    with get_database().reading() as session:
        return _Head(*ledger.head_at_present(session, identity.current().site.code, clock.utc_now()))
