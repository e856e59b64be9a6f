"""The words of a kind of entry: its name and what an entry tells beside its number, declared beside the function."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo

from app.kinds import Entry
from app.kinds.entry import K

What = Callable[[K, ZoneInfo], str]
"""Puts what an entry tells beside its number into words; the zone is the kitchen's, for times that it carries."""


@dataclass(frozen=True, slots=True)
class KindWords:
    """The words of a kind: its name as a message to translate, and what its entries tell."""

    name: str
    what: What[Any]
    brief: What[Any]
    """The same where what the entry is about stands above it."""
    cautions: Callable[[], tuple[str, ...]] = tuple
    """What whoever writes one should know before."""


WORDS: dict[type[Entry], KindWords] = {}
"""The words of every kind, declared by the modules of this package."""


def says(
    kind: type[K],
    name: str,
    *,
    brief: What[K] | None = None,
    cautions: Callable[[], tuple[str, ...]] = tuple,
) -> Callable[[What[K]], What[K]]:
    """Declare the words of a kind on the function that puts its entries into words.

    `brief` says the same where what the entry is about stands above it, where that is shorter. `cautions` stand on the
    page where one is written.
    """

    def declare(what: What[K]) -> What[K]:
        if kind in WORDS:
            raise ValueError(f"the words of {kind.KIND} are declared twice")
        WORDS[kind] = KindWords(name, what, brief or what, cautions)
        return what

    return declare


def parts(*found: str) -> str:
    """Join what is there with commas."""
    return ", ".join(part for part in found if part)


def nothing(entry: Entry, zone: ZoneInfo) -> str:
    """Say nothing: the number read says it all."""
    return ""
