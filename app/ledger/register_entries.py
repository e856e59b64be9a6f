"""The register's entries of a site: read once, and again only when one was added."""

import json
from collections import OrderedDict
from functools import cached_property

from sqlalchemy import select, text

from app.db import Prepared, Source
from app.kinds import LogKept, RegisterEntry
from app.kinds.reading import entry_of
from app.models import IN_REGISTER
from app.rules.day.register_calendar import RegisterCalendar, register_calendar

from .index.rows import ENTRY, OF_SITE
from .register import SiteRow

# A kept log says nothing of people, equipment or plan, and there is one a day.
_OF_REGISTER = (OF_SITE, text(IN_REGISTER), ENTRY.kind != LogKept.KIND)
_ALL = Prepared(select(ENTRY.seq, ENTRY.body).where(*_OF_REGISTER).order_by(ENTRY.seq))
_LAST = Prepared(select(ENTRY.seq, ENTRY.hash).where(*_OF_REGISTER).order_by(ENTRY.seq.desc()).limit(1))


class _Register:
    """The register's entries of a site by seq, and what they add up to, which every entry that comes is asked of."""

    def __init__(self, entries: tuple[RegisterEntry, ...]) -> None:
        self.entries = entries

    @cached_property
    def calendar(self) -> RegisterCalendar:
        """All that is known of moments and days."""
        return register_calendar(self.entries)


_MOST = 64
_read: OrderedDict[tuple[str, int, str], _Register] = OrderedDict()
"""By site and the seq and hash of the last entry: by the chain, the same hash stands on the same entries."""


def read_register(source: Source, row: SiteRow) -> tuple[RegisterEntry, ...]:
    """Give every entry of a site's register, by seq; what is kept of its logs aside."""
    return _register(source, row).entries


def _register(source: Source, row: SiteRow) -> _Register:
    last = _LAST.run(source, site_id=row.id)
    key = (row.code, *last[0]) if last else (row.code, 0, "")
    known = _read.get(key)
    if known is None:
        found = _ALL.run(source, site_id=row.id)
        known = _read[key] = _Register(tuple(_entry(seq, body) for seq, body in found))
        while len(_read) > _MOST:
            _read.popitem(last=False)
    return known


def calendar_of_row(source: Source, row: SiteRow, *, through_seq: int | None = None) -> RegisterCalendar:
    """Give what a site's register says of each moment and day, as far as it was known at an entry."""
    register = _register(source, row)
    return register.calendar if through_seq is None else register_calendar(register.entries, through_seq=through_seq)


def _entry(seq: int, body: bytes) -> RegisterEntry:
    fields = json.loads(body)
    entry = entry_of(fields, root_seq=seq, root=fields["id"])
    if not isinstance(entry, RegisterEntry):
        raise TypeError(f"{entry.kind} is no kind of the register")
    return entry
