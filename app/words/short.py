"""Names of loads, trays, batches and reheats on the screen: `T12` for `A-T12`, while no other name there ends so.

The pages say which names a screen may show; elsewhere, on paper and in files, every name stands whole.
"""

import re
from collections.abc import Iterable, Mapping
from contextvars import ContextVar
from types import MappingProxyType

_ENDS = re.compile(r".+-([A-Z][0-9]+)")
_NAMES: ContextVar[Mapping[str, frozenset[str]] | None] = ContextVar("names on the screen", default=None)
"""The whole names by what they end in; None where names stand whole."""


def show_short(names: Iterable[str]) -> None:
    """Let names be short from now on, in this request: `names` are all that its screen may show."""
    found: dict[str, frozenset[str]] = {}
    for name in names:
        end = _end_of(name)
        found[end] = found.get(end, frozenset()) | {name}
    _NAMES.set(MappingProxyType(found))


def show_whole() -> None:
    """Let every name stand whole again."""
    _NAMES.set(None)


def short_name(name: str) -> str:
    """Give a name as it is shown: without the prefix of its tablet, where no other name on the screen ends so."""
    names = _NAMES.get()
    if names is None:
        return name
    end = _end_of(name)
    return end if names.get(end, frozenset()) <= {name} else name


def names_ending(end: str) -> frozenset[str]:
    """Give the whole names on this screen that are shown, or could be, by their end alone."""
    return (_NAMES.get() or {}).get(end, frozenset())


def _end_of(name: str) -> str:
    cut = _ENDS.fullmatch(name)
    return cut[1] if cut else name
