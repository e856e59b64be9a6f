"""Tracing from the ledger: the entries that a lot, load, tray, batch or reheat touched, and the walk along them."""

from collections.abc import Iterable
from datetime import datetime

from sqlalchemy.orm import Session

from app.kinds import Entry, Subject, value_of
from app.rules.day.days import Calendar
from app.rules.history.kitchen import Kitchen
from app.rules.history.tracing import Trace, trace_lot, trace_subject
from app.rules.history.versions import effective

from .. import register
from ..index import rows
from ..index.subjects import HOLDERS
from .gathering import Gathering


def trace(session: Session, code: str, name: str, *, as_of: datetime) -> Trace | None:
    """Trace whatever has that name, a lot first, both ways; None where nothing has it."""
    row = register.get_site_row(session, code)
    head = rows.head(session, row)[0]
    first = Gathering(session, row.id, through_seq=head)
    of_lot = first.about([f"delivery:{name}", f"lot:{name}"])
    named = [kind for kind in HOLDERS if first.about([f"{kind}:{name}"])] if not of_lot else []
    if not of_lot and not named:
        return None
    found = Gathering(session, row.id, through_seq=head)  # a fresh one: it follows only what is new to it
    loads = {f"load:{load}" for entry in of_lot if (load := value_of(entry, "load")) is not None}
    found.close_over(loads | {f"{kind}:{name}" for kind in named})
    found.follow()
    found.about([f"delivery:{lot}" for lot in {name, *_lots(found.entries.values())}])
    plans = register.plans_of(session, row)
    site = register.site_of(session, row, plans)
    plan_at = Calendar(plans, site.timezone).plan_at
    kitchen = Kitchen(effective(found.entries.values(), as_of=as_of), site=site, plan_at=plan_at)
    return trace_lot(kitchen, name) if of_lot else trace_subject(kitchen, _subjects(kitchen, named, name))


def _lots(entries: Iterable[Entry]) -> set[str]:
    return {lot for entry in entries if (lot := value_of(entry, "lot")) is not None}


def _subjects(kitchen: Kitchen, kinds: Iterable[str], name: str) -> list[Subject]:
    wanted = {"spit" if kind == "load" else kind for kind in kinds}
    return [subject for subject in kitchen.holders if subject.name == name and subject.kind in wanted]
