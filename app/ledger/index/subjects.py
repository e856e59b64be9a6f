"""Which subjects an entry names, and what it does to each: the rows of the index `entry_subjects`.

A subject is text, kind and name: `load:A-L1`, `spit:A-L1/2`, `tray:A-T1`, `batch:…`, `reheat:…`; `probe:…` for readings
with a probe and `check:…` for checks of it; `unit:…` for checks of a unit; `equipment:…` for what goes out and comes
back; `delivery:…` for what was received of a lot, `lot:…` for what was loaded of it and `raw:…` for what left raw;
`day:…` for sign-offs; and `answers:…` with the opener of a finding for what people did about it. A finding about a load
(or one of its spits), a tray, batch or reheat is answered under that subject instead. What names nothing stands under
`kind:…`, so that every entry has left a trace by which its being cut off is seen.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from app.kinds import Entry, Flow

OPEN, FILL, TAKE, MOVE, READ, NONE = "open", "fill", "take", "move", "read", ""
"""Roles: opens always; opens or adds; takes out; needs birds in it; needs only to have been opened; none of these."""

MOVING = (OPEN, FILL, TAKE)
NEEDING = (TAKE, MOVE, READ)
HOLDERS = ("load", "tray", "batch", "reheat")


class Mention(NamedTuple):
    """One subject that an entry names. `field` is where; `quarters` of birds go in or out, `bird` is one's number."""

    subject: str
    role: str
    field: str = ""
    quarters: int = 0
    bird: int = 0

    @property
    def kind(self) -> str:
        """Kind of the subject."""
        return self.subject.partition(":")[0]


_NAMED: Mapping[str, tuple[tuple[str, str], ...]] = {
    "hold_reading": (("tray", READ),),
    "tray_moved": (("tray", MOVE),),
    "time_control_started": (("tray", MOVE),),
    "cooling_reading": (("batch", READ),),
    "batch_moved": (("batch", MOVE),),
    "reheat_reading": (("reheat", READ),),
}

_PLAIN: Mapping[str, tuple[tuple[str, str], ...]] = {
    "receiving": (("delivery", "lot"),),
    "raw_out": (("raw", "lot"),),
    "spit_loaded": (("lot", "lot"),),
    "unit_check": (("unit", "unit_code"),),
    "probe_check": (("check", "probe"),),
    "equipment_out": (("equipment", "code"),),
    "equipment_back": (("equipment", "code"),),
    "sign_off": (("day", "day"),),
}


def mentions(entry: Entry) -> list[Mention]:
    """Give what an entry names, each subject once; nothing for a withdrawal."""
    if entry.withdrawn:
        return []
    kind, fields = entry.kind, entry.fields
    found = [Mention(f"{name}:{fields[name]}", role, name) for name, role in _NAMED.get(kind, ())]
    if kind in _MOVERS:
        found += _moved(entry)
    found += [
        Mention(f"{prefix}:{fields[name]}", NONE, name) for prefix, name in _PLAIN.get(kind, ()) if name in fields
    ]
    if "probe" in fields and kind != "probe_check":
        found.append(Mention(f"probe:{fields['probe']}", NONE, "probe"))
    if "findings" in fields:
        found += [Mention(subject, NONE, "findings") for subject in dict.fromkeys(map(_answered, fields["findings"]))]
    return found or [Mention(f"kind:{kind}", NONE)]


def _moved(entry: Entry) -> Iterator[Mention]:
    fields = entry.fields
    if entry.kind == "load_started":
        yield Mention(f"load:{fields['load']}", OPEN, "load")
        return
    if entry.kind == "cook_reading":
        yield Mention(f"load:{fields['load']}", READ, "load")
        yield Mention(f"spit:{fields['load']}/{fields['spit']}", READ, "spit", bird=fields["bird"])
        return
    for flow in entry.flows():
        yield from _flowed(entry, flow)


def _flowed(entry: Entry, flow: Flow) -> Iterator[Mention]:
    subject, quarters = flow.subject, int(flow.birds * 4)
    role = FILL if quarters > 0 else TAKE
    if subject.kind != "spit":
        always_opens = entry.kind == "reheat_started" and subject.kind == "reheat"
        yield Mention(f"{subject.kind}:{subject.name}", OPEN if always_opens else role, flow.field, quarters)
        return
    yield Mention(f"load:{subject.name}", role, "load", quarters)
    bird = max(entry.fields.get("discarded_birds", ()), default=0)
    yield Mention(f"spit:{subject.label}", role, "spit", quarters, bird)


_MOVERS = frozenset(
    [
        *("load_started", "cook_reading", "spit_loaded", "spit_pulled"),
        *("tray_out", "reheat_started", "reheat_done", "batch_out"),
    ]
)


@dataclass(frozen=True, slots=True)
class Key:
    """A finding's key taken apart: `opener` is an entry's first-version id, or a date."""

    rule: str
    kind: str
    label: str
    opener: str

    @property
    def subject(self) -> str:
        """The subject in the index under which answers stand: what holds the food (a load for spits), or the opener."""
        if self.kind == "spit":
            return f"load:{self.label.rpartition('/')[0]}"
        return f"{self.kind}:{self.label}" if self.kind in HOLDERS else f"answers:{self.opener}"


_KEY = re.compile(r"([a-z_]+\.[a-z_]+):([a-z_]+):(.*):([^:]*)")


def read_key(text: str) -> Key | None:
    """Take a key apart; None if it has not the form of one."""
    found = _KEY.fullmatch(text)
    return Key(*found.groups()) if found else None


def _answered(text: str) -> str:
    key = read_key(text)
    return key.subject if key else f"answers:{text}"


def has_span(mention: Mention) -> bool:
    """Whether an entry opens or moves birds of a subject that has a span."""
    return mention.role in MOVING and mention.kind in HOLDERS
