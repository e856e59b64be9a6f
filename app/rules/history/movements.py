"""The order in which things happened, and where things stood."""

from collections.abc import Sequence
from datetime import datetime

from app.kinds import Entry
from app.kinds.naming import needed_by

Moves = Sequence[tuple[datetime, str | None]]
"""Which unit something stood in, from a moment on."""

_Named = tuple[str, str]
"""Kind and name of a tray, batch or reheat."""


def stood_at(moves: Moves, at: datetime) -> str | None:
    """Give the unit that a tray stood in at a moment."""
    return next((unit for since, unit in reversed(moves) if since <= at), None)


def in_order(entries: Sequence[Entry]) -> list[Entry]:
    """Put what was seen a little before its tray, batch or reheat was filled (clocks differ) right after that."""
    filled_at = _first_fillings(entries)
    if not any(filled_at.get(_needed(entry), -1) > place for place, entry in enumerate(entries)):
        return list(entries)  # as nearly always: nothing was seen before its filling
    to_come = set(filled_at)
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


def _first_fillings(entries: Sequence[Entry]) -> dict[_Named, int]:
    """Give the place in the order at which each tray, batch and reheat is first filled."""
    filled_at: dict[_Named, int] = {}
    for place, entry in enumerate(entries):
        for name in _filled(entry):
            filled_at.setdefault(name, place)
    return filled_at


def _needed(entry: Entry) -> _Named:
    """Give the tray, batch or reheat that an entry reads, moves or takes from: it is filled first."""
    needed = needed_by(type(entry))
    return ("", "") if needed is None else (needed[1], getattr(entry, needed[0]))


def _filled(entry: Entry) -> list[_Named]:
    """Give the trays, batches and reheats that an entry puts birds into."""
    return [
        (flow.subject.kind, flow.subject.name)
        for flow in entry.flows()
        if flow.birds > 0 and flow.subject.kind != "spit"
    ]
