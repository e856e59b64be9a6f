"""Tracing from the ledger: the entries that a lot, load, tray, batch or reheat touched, and the walk along them."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.kinds import Entry, SpitLoaded, Subject
from app.rules.day.food_views import out_while_aside
from app.rules.day.judge import Judged, judge
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.facts import Site
from app.rules.history.kitchen import Kitchen
from app.rules.history.tracing import Trace, trace_lots, trace_subject

from .. import register
from ..index import rows
from ..index.subjects import HOLDERS
from ..register_entries import calendar_of_row
from .beyond_food import BeyondFood, food_named
from .gathering import Gathering
from .lots import OF_LOTS, find_lots


def trace(session: Session, code: str, name: str, *, as_of: datetime) -> Trace | None:
    """Trace whatever has that name, a lot first, both ways; None where nothing has it.

    Lots are found by a part of their name or of their supplier's, whatever the case.
    """
    row = register.get_site_row(session, code)
    head = rows.head(session, row).seq
    looking = Gathering(session, row.id, through_seq=head)
    named = [kind for kind in HOLDERS if looking.about([f"{kind}:{name}"])]
    lots = _exact(looking, name) or (set() if named else find_lots(looking, name))
    if not lots and not named:
        return None
    found = Gathering(session, row.id, through_seq=head)  # a fresh one: it follows only what is new to it
    of_lots = found.about([f"{kind}:{lot}" for kind in OF_LOTS for lot in lots])
    loads = {f"load:{one.load}" for one in of_lots if isinstance(one, SpitLoaded)}
    found.close_over(loads if lots else {f"{kind}:{name}" for kind in named})
    found.follow()
    found.about([f"delivery:{lot}" for lot in {*lots, *_lots(found.entries.values())}])
    calendar = calendar_of_row(session, row)
    if lots:
        found.look_back(_cold_units(calendar.site), as_of, until=lambda _check: True)
    judged = _judge(found, calendar, as_of)
    kitchen = judged.kitchen
    traced = trace_lots(kitchen, lots) if lots else trace_subject(kitchen, _subjects(kitchen, named, name))
    out = out_while_aside(judged)
    aside = {step: out[key] for step in traced.steps if (key := (step.entry.root, step.source)) in out}
    return replace(traced, aside=aside)


def _judge(found: Gathering, calendar: RegisterCalendar, as_of: datetime) -> Judged:
    """Judge the food that was followed, by its whole history and what its readings rest on: what was set aside when."""
    found.close_over(food_named(found.entries.values()))
    BeyondFood(found, calendar, as_of=as_of).gather_told()
    entries = [found.entries[seq] for seq in sorted(found.entries)]
    return judge(entries, calendar=calendar, as_of=as_of, day=calendar.day_of(as_of))


def _exact(looking: Gathering, name: str) -> set[str]:
    return {name} if looking.about([f"{kind}:{name}" for kind in OF_LOTS]) else set()


def _cold_units(site: Site) -> list[str]:
    return [f"unit:{unit.code}" for unit in site.equipment.values() if unit.kind == "cold_unit"]


def _lots(entries: Iterable[Entry]) -> set[str]:
    return {entry.lot for entry in entries if isinstance(entry, SpitLoaded) and entry.lot is not None}


def _subjects(kitchen: Kitchen, kinds: Iterable[str], name: str) -> list[Subject]:
    wanted = {"spit" if kind == "load" else kind for kind in kinds}
    return [subject for subject in kitchen.holders if subject.name == name and subject.kind in wanted]
