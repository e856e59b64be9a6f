"""Which subjects an entry names, and what it does to each: the rows of the index `entry_subjects`.

A subject is text, kind and name: `load:A-L1`, `spit:A-L1/2`, `tray:A-T1`, `batch:…`, `reheat:…`; `probe:…` for readings
with a probe and `check:…` for checks of it; `unit:…` for checks of a unit; `equipment:…` for what goes out and comes
back; `delivery:…` for what was received of a lot and `lot:…` for what was loaded of it; `day:…` for sign-offs; and
`answers:…` with the opener of a finding for what people did about it. A finding about a load (or one of its spits), a
tray, batch or reheat is answered under that subject instead. What names nothing stands under `kind:…`, so that every
entry has left a trace by which its being cut off is seen.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import NamedTuple

from app.kinds import CookReading, Entry, SpitPulled
from app.kinds.form import FILL, MOVE, NONE, OPEN, READ, TAKE, form_of, once_a_kind
from app.kinds.naming import keys_of, opens

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


def mentions(entry: Entry) -> list[Mention]:
    """Give what an entry names, each subject once; nothing for a withdrawal."""
    if entry.withdrawn:
        return []
    found = [*_food(entry), *_flowed(entry), *_listed(entry), *_answered(entry)]
    return found or [Mention(f"kind:{entry.kind}", NONE)]


@once_a_kind
def _unmoved(cls: type[Entry]) -> tuple[tuple[str, str, str], ...]:
    """Give (attribute, kind, role) of the food that a kind names without moving birds in or out of it."""
    roles = (READ, MOVE, OPEN) if cls.flows is Entry.flows else (READ, MOVE)
    return tuple((attribute, name.of, name.role) for attribute, name in form_of(cls).named() if name.role in roles)


def _food(entry: Entry) -> Iterator[Mention]:
    for attribute, kind, role in _unmoved(type(entry)):
        yield Mention(f"{kind}:{getattr(entry, attribute)}", role, attribute)
    if isinstance(entry, CookReading):
        yield Mention(f"spit:{entry.spit_subject.label}", READ, "spit", bird=entry.bird)


def _flowed(entry: Entry) -> Iterator[Mention]:
    opened = opens(type(entry))
    for flow in entry.flows():
        subject, quarters = flow.subject, int(flow.birds * 4)
        role = TAKE if quarters <= 0 else OPEN if subject.kind == opened else FILL
        if subject.kind == "spit":
            yield Mention(f"load:{subject.name}", role, "load", quarters)
            yield Mention(f"spit:{subject.label}", role, "spit", quarters, _highest_bird(entry))
        else:
            yield Mention(f"{subject.kind}:{subject.name}", role, flow.field, quarters)


def _highest_bird(entry: Entry) -> int:
    return max(entry.discarded_birds, default=0) if isinstance(entry, SpitPulled) else 0


@once_a_kind
def _indexed(cls: type[Entry]) -> tuple[tuple[str, str], ...]:
    """Give (attribute, kind of subject) of what a kind declares to be listed in the index."""
    return tuple((one.attribute, one.index) for one in form_of(cls).declared if one.index is not None)


def _listed(entry: Entry) -> Iterator[Mention]:
    for attribute, kind in _indexed(type(entry)):
        if (value := getattr(entry, attribute)) is not None:
            yield Mention(f"{kind}:{value}", NONE, attribute)


def _answered(entry: Entry) -> Iterator[Mention]:
    attribute = keys_of(type(entry))
    if attribute is not None:
        for subject in dict.fromkeys(_subject_of(text) for text in getattr(entry, attribute)):
            yield Mention(subject, NONE, attribute)


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


def _subject_of(text: str) -> str:
    key = read_key(text)
    return key.subject if key else f"answers:{text}"


def has_span(mention: Mention) -> bool:
    """Whether an entry opens or moves birds of a subject that has a span."""
    return mention.role in MOVING and mention.kind in HOLDERS
