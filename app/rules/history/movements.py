"""The order in which things happened, and where things stood."""

from collections.abc import Sequence
from datetime import datetime

from app.kinds import KINDS, Entry
from app.kinds.form import once_a_kind
from app.kinds.naming import filled_by, needed_by

Moves = Sequence[tuple[datetime, str | None]]
"""Which unit something stood in, from a moment on."""

_Named = tuple[str, str]
"""Kind and name of a tray, batch or reheat."""

MOVES = tuple(kind for kind in KINDS.values() if kind.flows is not Entry.flows)
"""The kinds that move birds: where they are, when, and under which plan rests on these."""


def stood_at(moves: Moves, at: datetime) -> str | None:
    """Give the unit that a tray stood in at a moment."""
    return next((unit for since, unit in reversed(moves) if since <= at), None)


def in_order(entries: Sequence[Entry]) -> list[Entry]:
    """Put what was seen a little before its tray, batch or reheat was filled (clocks differ) right after that."""
    if not _is_any_early(entries):
        return list(entries)  # as nearly always: nothing was seen before its filling
    to_come = {name for entry in entries for name in _filled(entry)}
    waiting: dict[_Named, list[Entry]] = {}
    ordered: list[Entry] = []
    for seen in entries:
        ready = [seen]
        while ready:
            entry = ready.pop(0)
            needed = _needed(entry)
            if needed in to_come:
                waiting.setdefault(needed, []).append(entry)
                continue
            ordered.append(entry)
            for name in to_come.intersection(_filled(entry)):
                to_come.discard(name)
                ready += waiting.pop(name, ())
    return ordered


def _is_any_early(entries: Sequence[Entry]) -> bool:
    """Whether an entry needs a tray, batch or reheat that is filled only after it."""
    asked: set[_Named] = set()
    filled: set[_Named] = set()
    for entry in entries:
        needed, fills = _roles(type(entry))
        for attribute, kind in fills:
            name = (kind, getattr(entry, attribute))
            if name in asked and name not in filled:
                return True
            filled.add(name)
        if needed is not None:
            asked.add((needed[1], getattr(entry, needed[0])))
    return False


@once_a_kind
def _roles(cls: type[Entry]) -> tuple[tuple[str, str] | None, tuple[tuple[str, str], ...]]:
    return needed_by(cls), filled_by(cls)


def _needed(entry: Entry) -> _Named:
    """Give the tray, batch or reheat that an entry reads, moves or takes from: it is filled first."""
    needed = needed_by(type(entry))
    return ("", "") if needed is None else (needed[1], getattr(entry, needed[0]))


def _filled(entry: Entry) -> list[_Named]:
    """Give the trays, batches and reheats that an entry puts birds into."""
    return [(kind, name) for attribute, kind in filled_by(type(entry)) if (name := getattr(entry, attribute))]
