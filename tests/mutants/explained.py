"""What lives on, held against what docs/mutants.md explains."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence

from .selection import ROOT, Mutant

PAGE = ROOT / "docs" / "mutants.md"
MOST = 0.1
"""Of the sample, so much may live: one in ten."""


def report(mutants: Sequence[Mutant], known: Mapping[str, bool]) -> int:
    """Print figures and every change that lives; give 1 where one lives that may not, else 0."""
    living = [one for one in mutants if known.get(one.key) is False]
    unexplained = [one for one in living if not _is_explained(one)]
    for in_heart, group in ((True, "in the heart of the rules"), (False, "in the sample elsewhere")):
        _print_figures(group, [one for one in mutants if one.in_heart is in_heart], known)
    for mutant in living:
        before, after = mutant.change()
        print(f"{' ' if _is_explained(mutant) else '!'} {mutant.path}:{mutant.line} `{before}` → `{after}`")
    elsewhere = [one for one in mutants if not one.in_heart]
    too_many = sum(not one.in_heart for one in living) > MOST * len(elsewhere)
    return int(bool(unexplained) or too_many)


def _print_figures(group: str, mutants: Sequence[Mutant], known: Mapping[str, bool]) -> None:
    count = Counter(known.get(one.key) for one in mutants)
    print(f"{len(mutants)} changes {group}: {count[True]} noticed, {count[False]} live, {count[None]} not planted yet")


def _is_explained(mutant: Mutant) -> bool:
    """Whether the page has this very change, by file and both lines."""
    before, after = mutant.change()
    file = mutant.path.removeprefix("app/")
    return (file, before, after) in _explained()


def _explained() -> set[tuple[str, str, str]]:
    if not PAGE.exists():
        return set()
    return set(re.findall(r"^- `([^`]+)`: ``(.+?)`` → ``(.+?)``", PAGE.read_text("utf-8"), re.MULTILINE))
