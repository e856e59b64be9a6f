"""Logs that are drawn when somebody asks for them: one at a time, outside the request, and kept for a while.

Drawing takes seconds of a processor. Where the process for jobs lives, a log is asked for there and fetched when it is
made; where none lives (a development server, a test) the request draws it itself.
"""

import logging
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from threading import Event
from typing import Any

from sqlalchemy import delete, func, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session, undefer

from app import clock, ledger, register
from app.models import Drawing

from . import day_log, get_database, jobs
from .kept_logs import SigningRefused
from .outages import outage_of

MOST_WAITING = 8
"""Logs that wait to be drawn, beside which no further one is taken in."""
RETRY_AFTER_S = 10
_SAME_FOR = timedelta(minutes=1)
"""For so long a log that was drawn from the same records is given out again."""
_KEPT = timedelta(hours=1)
_LOOKS_EVERY_S, _LONGEST_WAIT_S = 0.25, 60.0
_NEVER = Event()
"""Never set: to wait for it is to pause."""

_log = logging.getLogger(__name__)


class TooManyWaiting(Exception):
    """So many logs wait to be drawn that this one was not taken in."""


class NotDrawn(Exception):
    """The log could not be drawn; the server's own messages say why."""


@dataclass(frozen=True, slots=True)
class Log:
    """A log that was asked for: its number to ask for it again, and the PDF once it is made."""

    number: int
    pdf: bytes | None


def ask_for_log(site: str, day: date, *, as_of: datetime | None = None) -> Log:
    """Give a day's log: the kept one, one made just now from the same records, or one to be made.

    Raises TooManyWaiting, NotDrawn. `as_of` None is now: a log of the last minute will do, if nothing came since.
    """
    kept = day_log.find_kept(site, day, as_of=as_of or clock.utc_now())
    if kept is not None:
        return Log(0, kept)
    if not jobs.is_running():
        return _draw_now(site, day, as_of)
    try:
        return _find_or_ask(site, day, as_of)
    except SQLAlchemyError as error:
        if outage_of(error) is None:
            raise
        _log.warning("a log is drawn in the request, since nothing can be written: %s", error)
        return _draw_now(site, day, as_of)


def _draw_now(site: str, day: date, as_of: datetime | None) -> Log:
    at = as_of or clock.utc_now()
    try:
        return Log(0, day_log.give_log(site, day, as_of=at))
    except SigningRefused as error:
        _log.warning("the log of %s, %s could not be signed: %s", site, day, error)
        raise NotDrawn from None
    except SQLAlchemyError as error:
        if outage_of(error) is None:
            raise
        _log.warning("a log is printed without the kitchen's certificate, since nothing can be written: %s", error)
    with get_database().reading() as session:
        return Log(0, day_log.print_day(session, site, day, as_of=at))


def _find_or_ask(site: str, day: date, as_of: datetime | None) -> Log:
    with get_database().writing() as session:
        head, site_id = ledger.head(session, site)[0], register.get_site(session, site).id
        now = clock.utc_now()
        found = _same(session, site_id, day, head, as_of=as_of, now=now)
        if found is None:
            found = _take_in(session, site_id, day, head, as_of=as_of or now, now=now)
            jobs.ask(session, "draw_log", str(found.id), {"drawing": found.id, "site": site}, at=now)
        return _log_of(found)


def find_log(site: str, day: date, number: int) -> Log | None:
    """Give a log that was asked for; None where there is none of that number any more. Raises NotDrawn."""
    with get_database().reading() as session:
        found = session.get(Drawing, number, options=[undefer(Drawing.pdf)]) if 0 < number < 2**31 else None
        if found is None or found.day != day or found.site_id != register.get_site(session, site).id:
            return None
        asked, as_of = _log_of(found), found.as_of
    is_left_alone = asked.pdf is None and not jobs.is_running()
    return _draw_now(site, day, as_of) if is_left_alone else asked


def wait_for_log(site: str, day: date, *, as_of: datetime | None = None) -> bytes | None:
    """Give a day's log, waiting for it; None where it takes too long: it is kept, and can be asked for again.

    Raises TooManyWaiting, NotDrawn.
    """
    asked = ask_for_log(site, day, as_of=as_of)
    for _ in range(int(_LONGEST_WAIT_S / _LOOKS_EVERY_S)):
        if asked.pdf is not None:
            return asked.pdf
        _NEVER.wait(_LOOKS_EVERY_S)
        asked = find_log(site, day, asked.number) or ask_for_log(site, day, as_of=as_of)
    return asked.pdf


def _same(
    session: Session, site_id: int, day: date, head: int, *, as_of: datetime | None, now: datetime
) -> Drawing | None:
    """Give the newest one of the same records that says the same, made or waiting."""
    moment = Drawing.as_of == as_of if as_of else Drawing.as_of.between(now - _SAME_FOR, now)
    same = select(Drawing).where(
        Drawing.site_id == site_id, Drawing.day == day, Drawing.through_seq == head, Drawing.is_failed.is_(False)
    )
    return session.scalar(same.where(moment).order_by(Drawing.as_of.desc()).limit(1).options(undefer(Drawing.pdf)))


def _take_in(session: Session, site_id: int, day: date, head: int, *, as_of: datetime, now: datetime) -> Drawing:
    session.execute(delete(Drawing).where(Drawing.asked_at < now - _KEPT))
    waiting = select(func.count()).where(Drawing.is_made.is_(False), Drawing.is_failed.is_(False))
    if (session.scalar(waiting) or 0) >= MOST_WAITING:
        raise TooManyWaiting
    new = Drawing(site_id=site_id, day=day, through_seq=head, as_of=as_of, asked_at=now, is_made=False, is_failed=False)
    session.add(new)
    session.flush()
    return new


def _log_of(found: Drawing) -> Log:
    if found.is_failed:
        raise NotDrawn
    return Log(found.id, found.pdf if found.is_made else None)


@jobs.job("draw_log", lane="drawing")
def _draw(payload: jobs.Payload, at: datetime) -> None:
    """Draw one. What cannot be drawn is not tried again: whoever wants it asks anew."""
    drawing: int = payload["drawing"]
    with get_database().reading() as session:
        wanted = session.get(Drawing, drawing)
        if wanted is None:
            return
    try:
        pdf = day_log.give_log(payload["site"], wanted.day, as_of=wanted.as_of)
    except (ValueError, LookupError, TypeError, ArithmeticError, SigningRefused):
        _log.exception("the log of %s, %s could not be drawn", payload["site"], wanted.day)
        pdf = None
    _keep(drawing, is_made=pdf is not None, is_failed=pdf is None, pdf=pdf)


def _keep(drawing: int, **values: Any) -> None:
    with get_database().writing() as session:
        if (row := session.get(Drawing, drawing)) is not None:
            for name, value in values.items():
                setattr(row, name, value)
