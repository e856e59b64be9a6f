"""What lives on, held against what docs/mutants.md explains."""

import re
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "mutants.md"
MOST = 0.1
"""Of the sample, so much may live: one in ten."""

_LINE = re.compile(r"^- `([^`]+)` `([^`]+)`: ``(.+?)`` → ``(.+?)``:(?: |\n  )(\S.*(?:\n  .+)*)$", re.MULTILINE)


class Change(NamedTuple):
    """A change as the page names it: file, function (or class), and its first line that differs, before and after."""

    file: str
    where: str
    before: str
    after: str

    def line(self) -> str:
        """Give the line of the page that explains it, as far as its reason."""
        return f"- `{self.file}` `{self.where}`: ``{self.before}`` → ``{self.after}``"


class Outcome(NamedTuple):
    """What became of a planted change: noticed or not; None where it was not planted yet."""

    change: Change
    line: int
    in_heart: bool
    noticed: bool | None


def explained(page: str) -> dict[Change, str]:
    """Give the changes that a page explains, each with its reason."""
    return {Change(*found[:4]): " ".join(found[4].split()) for found in _LINE.findall(page)}


def report(outcomes: Sequence[Outcome], reasons: Mapping[Change, str]) -> int:
    """Print figures and every change that lives; give 1 where page and run do not agree, or too many live, else 0.

    They agree where each change that lives is explained, and each that is explained lives.
    """
    living = [one for one in outcomes if one.noticed is False]
    for in_heart, group in ((True, "in the heart of the rules"), (False, "in the sample elsewhere")):
        _print_figures(group, [one for one in outcomes if one.in_heart is in_heart])
    for one in living:
        print(f"{' ' if one.change in reasons else '!'} {one.change.line()} (line {one.line})")
    stale = reasons.keys() - {one.change for one in outcomes if one.noticed is not True}
    for change in sorted(stale):
        print(f"! explained, but noticed, or planted nowhere: {change.line()}")
    unexplained = [one for one in living if one.change not in reasons]
    return int(bool(unexplained or stale) or _too_many(outcomes))


def _too_many(outcomes: Collection[Outcome]) -> bool:
    elsewhere = [one for one in outcomes if not one.in_heart]
    return sum(one.noticed is False for one in elsewhere) > MOST * len(elsewhere)


def _print_figures(group: str, outcomes: Sequence[Outcome]) -> None:
    count = Counter(one.noticed for one in outcomes)
    print(f"{len(outcomes)} changes {group}: {count[True]} noticed, {count[False]} live, {count[None]} not planted yet")
