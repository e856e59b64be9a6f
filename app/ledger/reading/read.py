"""Reading the ledger: its head, one entry, its lines, the hashed objects of a day."""

import json
from collections.abc import Iterable, Iterator
from datetime import date, datetime
from typing import Any

from sqlalchemy import Row, select
from sqlalchemy.orm import Session

from app import models
from app.db import Source, chunks
from app.kinds import ClockSet, Entry, RegisterEntry
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.facts import Site
from app.rules.plans.plan import Adopted

from .. import register
from ..appending.moments import ClockBehind, is_behind
from ..form.typed import typed
from ..index import rows
from ..index.rows import ENTRY
from ..register_entries import calendar_of_row, read_register

_AT_A_TIME = 1000


def head(session: Session, code: str) -> tuple[int, str]:
    """Give seq and hash of the newest entry; of an empty ledger 0 and where its chain begins."""
    newest = rows.head(session, register.get_site_row(session, code))
    return newest.seq, newest.hash


def present(source: Source, code: str, at: datetime) -> datetime:
    """Give the moment by which a running day is looked at: `at`, but never before the newest entry was recorded.

    While the server's clock is behind, what was written last is still there. Raises LookupError for no such site.
    """
    newest = rows.head(source, register.get_site_row(source, code)).recorded_at
    return at if newest is None else max(at, newest)


def head_at_present(source: Source, code: str, at: datetime) -> tuple[int, str, datetime]:
    """Give seq and hash of the newest entry, and the moment by which a running day is looked at, as `present` does."""
    newest = rows.head(source, register.get_site_row(source, code))
    return newest.seq, newest.hash, at if newest.recorded_at is None else max(at, newest.recorded_at)


def clock_behind(session: Session, at: datetime) -> ClockBehind | None:
    """Give the first site for which a clock that says `at` is too far behind its records to keep anything, or None."""
    codes = session.scalars(select(models.Site.code).order_by(models.Site.id))
    return next(filter(None, (site_clock_behind(session, code, at) for code in codes)), None)


def site_clock_behind(source: Source, code: str, at: datetime) -> ClockBehind | None:
    """Give how a clock that says `at` is too far behind a site's records to keep anything; None where it is not."""
    was = rows.head(source, register.get_site_row(source, code)).recorded_at
    return ClockBehind(code, was=was, is_=at) if was is not None and is_behind(at, was) else None


def register_entries(source: Source, code: str) -> tuple[RegisterEntry, ...]:
    """Give every entry of a site's register, by seq. Raises LookupError for no such site."""
    return read_register(source, register.get_site_row(source, code))


def accepted_clocks(session: Session, code: str) -> tuple[ClockSet, ...]:
    """Give where in a site's ledger the server's clock was accepted though it went back, by seq."""
    entries = read_register(session, register.get_site_row(session, code))
    return tuple(entry for entry in entries if isinstance(entry, ClockSet))


def first_seen(session: Session, code: str) -> datetime | None:
    """Give when the earliest of the kitchen's own entries was seen; None while there is none."""
    return rows.first_seen(session, register.get_site_row(session, code).id)


def calendar_of(source: Source, code: str) -> RegisterCalendar:
    """Give what the site's register says of each moment and day. Raises LookupError for no such site."""
    return calendar_of_row(source, register.get_site_row(source, code))


def read_site(source: Source, code: str) -> Site | None:
    """Give a site as it is set up now, with its people and equipment; None where there is none of that code."""
    row = register.find_site_row(source, code)
    return None if row is None else calendar_of_row(source, row).site


def read_plans(source: Source, code: str) -> tuple[Adopted, ...]:
    """Give the plan versions of a site as adopted, oldest first."""
    return calendar_of(source, code).plans


def today(session: Session, code: str, at: datetime) -> date:
    """Give the business day that is running at a moment."""
    return calendar_of(session, code).day_of(at)


def find_entry(source: Source, code: str, id: str) -> Entry | None:
    """Give the version of an entry that has this id (in any case), or None."""
    row = register.get_site_row(source, code)
    found = rows.by_ids(source, row.id, [id.lower()])
    if not found:
        return None
    root = found if found[0].seq == found[0].root_seq else rows.by_seqs(source, row.id, [found[0].root_seq])
    return typed(found, {root[0].seq: json.loads(root[0].body)["id"]})[0]


def ledger_lines(session: Session, code: str, after_seq: int) -> Iterator[bytes]:
    """Give every entry after a seq as one line: the hashed object with its `hash`."""
    row = register.get_site_row(session, code)
    for _seq, body, own_hash in _after(session, row.id, after_seq):
        yield body[:-1] + b',"hash":"' + own_hash.encode() + b'"}\n'


def _after(session: Session, site_id: int, after_seq: int) -> Iterator[Row[int, bytes, str]]:
    """Give seq, body and hash of all later entries, a thousand at a time: memory stays the same however many."""
    query = select(ENTRY.seq, ENTRY.body, ENTRY.hash).where(ENTRY.site_id == site_id).order_by(ENTRY.seq)
    while found := session.execute(query.where(ENTRY.seq > after_seq).limit(_AT_A_TIME)).all():
        yield from found
        after_seq = found[-1][0]


def day_bodies(session: Session, code: str, *entries: Iterable[Entry]) -> list[dict[str, Any]]:
    """Give the hashed objects of some entries, each with its `hash`, by seq."""
    row = register.get_site_row(session, code)
    return [
        {**json.loads(body), "hash": own_hash}
        for portion in chunks(sorted(entry.seq for some in entries for entry in some))
        for body, own_hash in session.execute(
            select(ENTRY.body, ENTRY.hash).where(ENTRY.site_id == row.id, ENTRY.seq.in_(portion)).order_by(ENTRY.seq)
        )
    ]
