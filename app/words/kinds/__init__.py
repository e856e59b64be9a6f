"""The words of each kind of entry: what it is called, and what an entry of it tells beside its number.

A module a subject, named like those of `app.kinds`. A kind declares its words with `says`.
"""

from zoneinfo import ZoneInfo

from app.kinds import ALL_KINDS, Entry

from ..marking import gettext as _
from . import (
    alarms,
    answers,
    cooking,
    cooling,
    equipment,
    holding,
    keeping,
    reassessment,
    register,
    reheating,
    storage,
    verification,
)
from .saying import WORDS

__all__ = [
    "alarms",
    "answers",
    "brief_words",
    "cooking",
    "cooling",
    "equipment",
    "holding",
    "keeping",
    "kind_cautions",
    "kind_word",
    "reassessment",
    "register",
    "reheating",
    "storage",
    "verification",
    "what_words",
]


def kind_cautions(kind: str) -> tuple[str, ...]:
    """Give what whoever writes an entry of a kind should know before."""
    return WORDS[ALL_KINDS[kind]].cautions()


def kind_word(kind: str) -> str:
    """Give what a kind of entry is called, by its name in the exchange format."""
    return _(WORDS[ALL_KINDS[kind]].name)


def what_words(entry: Entry, zone: ZoneInfo) -> str:
    """Give what an entry tells beside its number; a withdrawal tells nothing."""
    return "" if entry.withdrawn else WORDS[type(entry)].what(entry, zone)


def brief_words(entry: Entry, zone: ZoneInfo) -> str:
    """Give the same in the place where what the entry is about stands above it; empty where the number says it all."""
    return "" if entry.withdrawn else WORDS[type(entry)].brief(entry, zone)
