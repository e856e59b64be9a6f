"""Movements of birds: which spit, tray, batch or reheat an entry adds to or takes from."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any, NamedTuple

from app.kinds import Entry, Subject

Moves = Sequence[tuple[datetime, str | None]]
"""Which unit something stood in, from a moment on."""


class Flow(NamedTuple):
    """Birds into (positive) or out of (negative) one subject; `opens` where it may name a new one."""

    subject: Subject
    birds: Decimal
    opens: bool = False


_Fields = Mapping[str, Any]


def flows(entry: Entry) -> tuple[Flow, ...]:
    """Give the movements an entry records, what is taken first; none for other kinds and withdrawals."""
    mover = _MOVERS.get(entry.kind)
    return () if mover is None or entry.withdrawn else mover(entry.fields)


def spit_of(fields: _Fields) -> Subject:
    """Give the spit that an entry's `load` and `spit` name."""
    return Subject("spit", fields["load"], fields["spit"])


def _into(kind: str, name: str, birds: Decimal) -> Flow:
    return Flow(Subject(kind, name), birds, opens=True)


def _loaded(fields: _Fields) -> tuple[Flow, ...]:
    return (Flow(spit_of(fields), Decimal(fields["birds"]), opens=True),)


def _pulled(fields: _Fields) -> tuple[Flow, ...]:
    birds = Decimal(fields["birds"])
    taken = Flow(spit_of(fields), -(birds + len(fields.get("discarded_birds", ()))))
    return (taken, _into("tray", fields["tray"], birds)) if birds else (taken,)


_TARGETS = {"chilled": ("batch", "batch"), "reheated": ("reheat", "reheat"), "other_tray": ("tray", "into")}
"""Kind of what a way out of a tray fills, and the field that names it."""


def _tray_out(fields: _Fields) -> tuple[Flow, ...]:
    birds, to = Decimal(fields["birds"]), fields["to"]
    taken = Flow(Subject("tray", fields["tray"]), -birds)
    if to == "returned_to_oven":
        return (taken, Flow(spit_of(fields), birds, opens=True))
    target = _TARGETS.get(to)
    return (taken,) if target is None else (taken, _into(target[0], fields[target[1]], birds))


def _reheat_started(fields: _Fields) -> tuple[Flow, ...]:
    birds = Decimal(fields["birds"])
    return (Flow(Subject("batch", fields["batch"]), -birds), _into("reheat", fields["reheat"], birds))


def _reheat_done(fields: _Fields) -> tuple[Flow, ...]:
    birds = Decimal(fields["birds"])
    taken = birds + Decimal(fields.get("discarded", 0))
    return (Flow(Subject("reheat", fields["reheat"]), -taken), _into("tray", fields["tray"], birds))


def _batch_out(fields: _Fields) -> tuple[Flow, ...]:
    return (Flow(Subject("batch", fields["batch"]), -Decimal(fields["birds"])),)


_MOVERS: dict[str, Callable[[_Fields], tuple[Flow, ...]]] = {
    "spit_loaded": _loaded,
    "spit_pulled": _pulled,
    "tray_out": _tray_out,
    "reheat_started": _reheat_started,
    "reheat_done": _reheat_done,
    "batch_out": _batch_out,
}


_NAMED = {"load": "load", "tray": "tray", "into": "tray", "batch": "batch", "reheat": "reheat"}
"""Fields that name a load, tray, batch or reheat, and which of these."""

NAMING = {
    **dict.fromkeys(("load_started", "spit_loaded", "cook_reading"), ("load",)),
    "spit_pulled": ("load", "tray"),
    **dict.fromkeys(("hold_reading", "tray_moved", "time_control_started"), ("tray",)),
    "tray_out": ("load", "tray", "into", "batch", "reheat"),
    **dict.fromkeys(("cooling_reading", "batch_moved", "batch_out"), ("batch",)),
    "reheat_started": ("batch", "reheat"),
    "reheat_reading": ("reheat",),
    "reheat_done": ("tray", "reheat"),
}
"""Those that an entry of a kind may have; most kinds have one, and all entries of a day are asked for theirs."""


def stood_at(moves: Moves, at: datetime) -> str | None:
    """Give the unit that a tray stood in at a moment."""
    return next((unit for since, unit in reversed(moves) if since <= at), None)


def names_of(entry: Entry) -> list[tuple[str, str]]:
    """Give (kind, name) of every load, tray, batch and reheat that an entry names."""
    fields = entry.fields
    return [(_NAMED[name], fields[name]) for name in NAMING.get(entry.kind, ()) if name in fields]


_NEEDED = {
    **dict.fromkeys(("hold_reading", "tray_moved", "tray_out", "time_control_started"), "tray"),
    **dict.fromkeys(("cooling_reading", "batch_moved", "reheat_started", "batch_out"), "batch"),
    **dict.fromkeys(("reheat_reading", "reheat_done"), "reheat"),
}
"""Kind of what an entry reads, moves or takes from: it is filled first, whatever the clocks said."""

_FILLERS = {
    "spit_pulled": ("tray", "tray"),
    "tray_out": None,
    "reheat_started": ("reheat", "reheat"),
    "reheat_done": ("tray", "tray"),
}
"""Kinds that put birds into a tray, batch or reheat: its kind and the field that names it (tray_out: by where to)."""

_Named = tuple[str, str]


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
            for name in to_come.intersection(_filled(entry) if entry.kind in _FILLERS else ()):
                to_come.discard(name)
                ready += waiting.pop(name, ())
    return ordered


def _first_fillings(entries: Sequence[Entry]) -> dict[_Named, int]:
    """Give the place in the order at which each tray, batch and reheat is first filled."""
    filled_at: dict[_Named, int] = {}
    for place, entry in enumerate(entries):
        if entry.kind in _FILLERS:
            for name in _filled(entry):
                filled_at.setdefault(name, place)
    return filled_at


def _needed(entry: Entry) -> _Named:
    kind = _NEEDED.get(entry.kind, "")
    return kind, entry.fields.get(kind, "")


def _filled(entry: Entry) -> list[_Named]:
    fields = entry.fields
    target = _TARGETS.get(fields["to"]) if entry.kind == "tray_out" else _FILLERS[entry.kind]
    return [(target[0], fields[target[1]])] if target is not None and target[1] in fields else []
