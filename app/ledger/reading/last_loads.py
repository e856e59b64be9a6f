"""How each oven was loaded the last time, to fill in the start of the next load."""

from collections.abc import Mapping
from datetime import datetime
from typing import NamedTuple

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds import LoadStarted, SpitLoaded, of_kind
from app.rules.history.versions import effective

from .. import register
from ..form.typed import Row, typed
from ..index import rows
from ..index.rows import ENTRY
from .gathering import Gathering

_LOADS = 40
"""As many of the last loads are looked through (house): an oven that was not used since then begins anew."""


class LastLoad(NamedTuple):
    """The newest load of an oven: its name, for each spit by number what was loaded on it, and the oven's last spit."""

    load: str
    oven: str
    spits: Mapping[int, tuple[SpitLoaded, ...]]
    last_spit: int
    """The highest number of a spit in any of the oven's last loads; 0 where none was loaded."""


def last_loads(session: Session, code: str, *, as_of: datetime) -> Mapping[str, LastLoad]:
    """Give the newest load of each oven, the newest first; withdrawn ones do not count."""
    row = register.get_site_row(session, code)
    starts = select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(
        ENTRY.site_id == row.id, ENTRY.kind == LoadStarted.KIND, ENTRY.root_seq == ENTRY.seq
    )
    newest = typed([Row(*found) for found in session.execute(starts.order_by(ENTRY.seq.desc()).limit(_LOADS))], {})
    found = Gathering(session, row.id, through_seq=rows.head(session, row).seq)
    found.about({f"load:{entry.load}" for entry in newest if isinstance(entry, LoadStarted)}, moving_only=True)
    entries = effective(found.entries.values(), as_of=as_of)
    loads: dict[str, LastLoad] = {}
    oven_of = {start.load: start.oven for start in of_kind(entries, LoadStarted)}
    highest: dict[str, int] = {}
    for one in of_kind(entries, SpitLoaded):
        if oven := oven_of.get(one.load):
            highest[oven] = max(one.spit, highest.get(oven, 0))
    for start in sorted(entries, key=lambda entry: (entry.observed_at, entry.seq), reverse=True):
        if isinstance(start, LoadStarted) and start.oven not in loads:
            on = [one for one in entries if isinstance(one, SpitLoaded) and one.load == start.load]
            numbers = sorted({one.spit for one in on})
            spits = {number: tuple(one for one in on if one.spit == number) for number in numbers}
            loads[start.oven] = LastLoad(start.load, start.oven, spits, highest.get(start.oven, 0))
    return loads
