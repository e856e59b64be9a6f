"""The register's entries of a site: read once, and again only when one was added."""

import json
from collections import OrderedDict
from collections.abc import Sequence

from sqlalchemy import ColumnElement, and_, literal_column, select, text

from app.db import Prepared, Source
from app.kinds import ClockSet, CredentialSet, RegisterEntry
from app.kinds.reading import entry_of
from app.models import IN_REGISTER

from .index.rows import ENTRY, OF_SITE
from .register import SiteRow

_JUDGING: ColumnElement[bool] = literal_column("kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set')")
"""What a past day's meaning can rest on."""

_ALL = Prepared(select(ENTRY.seq, ENTRY.body).where(OF_SITE, text(IN_REGISTER)).order_by(ENTRY.seq))
_LAST = Prepared(
    select(ENTRY.seq, ENTRY.hash).where(and_(OF_SITE, text(IN_REGISTER), _JUDGING)).order_by(ENTRY.seq.desc()).limit(1)
)

_MOST = 64
_read: OrderedDict[tuple[str, int, str], tuple[RegisterEntry, ...]] = OrderedDict()
"""By site and the seq and hash of the last entry: by the chain, the same hash stands on the same entries."""


def read_register(source: Source, row: SiteRow) -> tuple[RegisterEntry, ...]:
    """Give every entry of a site's register, by seq."""
    found = _ALL.run(source, site_id=row.id)
    return tuple(_entry(seq, body) for seq, body in found)


def judging_entries(source: Source, row: SiteRow) -> Sequence[RegisterEntry]:
    """Give the entries of the register on which a day's meaning rests, by seq: without credentials and clocks."""
    last = _LAST.run(source, site_id=row.id)
    key = (row.code, *last[0]) if last else (row.code, 0, "")
    known = _read.get(key)
    if known is None:
        every = read_register(source, row)
        known = _read[key] = tuple(one for one in every if not isinstance(one, CredentialSet | ClockSet))
        while len(_read) > _MOST:
            _read.popitem(last=False)
    return known


def _entry(seq: int, body: bytes) -> RegisterEntry:
    told = json.loads(body)
    entry = entry_of(told, root_seq=seq, root=told["id"])
    if not isinstance(entry, RegisterEntry):
        raise TypeError(f"{entry.kind} is no kind of the register")
    return entry
