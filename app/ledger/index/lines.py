"""Where the index keeps what a rule's reach goes along: the subjects of what tells, and of what names."""

from functools import cache

from app.kinds import KINDS, Entry
from app.kinds.form import form_of
from app.rules.day.reach import Line


def told_under(line: Line, name: str) -> str:
    """Give the subject in the index under which the entries stand that tell how a probe, unit, oven or lot stands."""
    kinds = _indexed(line, line.told_by)
    return f"{kinds[0]}:{name}" if kinds else f"kind:{line.told_by[0].KIND}"


def named_under(line: Line, name: str) -> list[str]:
    """Give the subjects under which other entries stand that name it; none where the index does not list them."""
    telling = _indexed(line, line.told_by)
    return [f"{kind}:{name}" for kind in _indexed(line, tuple(KINDS.values())) if kind not in telling]


@cache
def _indexed(line: Line, kinds: tuple[type[Entry], ...]) -> tuple[str, ...]:
    """Give the kinds of subjects under which entries of some kinds are listed by what they name the line in."""
    declared = (one for kind in kinds for one in form_of(kind).declared if one.attribute in line.named_in)
    return tuple(dict.fromkeys(one.index for one in declared if one.index is not None))
