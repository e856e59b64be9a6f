"""Which changes are planted where: everything in the heart of the rules, a seeded sample elsewhere."""

import hashlib
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from parso.python.tree import search_ancestor

from .explained import ROOT, Change
from .operators import operators

HEART = (
    "app/rules/history/exposure.py",
    "app/rules/history/tray_exposure.py",
    "app/rules/history/parts.py",
    "app/rules/subjects/holding.py",
    "app/rules/subjects/hot_units.py",
    "app/rules/subjects/time_control.py",
    "app/rules/subjects/time_start.py",
    "app/rules/subjects/cooling.py",
    "app/rules/subjects/cooling_stages.py",
    "app/rules/day/records.py",
    "app/rules/day/cleared.py",
)
"""Time out of temperature, time as the control, cooling, and the answers of findings: every change is planted."""

ELSEWHERE = ("app/rules", "app/ledger/checks")
SAMPLE, SEED = 300, 20260414
"""So many changes of all those elsewhere. Each draws its lot by what it changes: a line more moves no other's lot."""

OPERATORS = operators()


@dataclass(frozen=True)
class Mutant:
    """One change: the operator's so-manieth place in a file."""

    path: str
    operator: str
    occurrence: int
    line: int
    where: str
    """The function (or class) that it is in."""
    name: str
    """What it changes: the same for as long as that line is as it is."""
    key: str
    """Its name for as long as its function (what lies in none: its file) is as it is."""

    @property
    def area(self) -> str:
        """Whose tests it is for: `rules` or `ledger`."""
        return self.path.split("/")[1]

    @property
    def in_heart(self) -> bool:
        """Whether it is in the heart of the rules, where none may live."""
        return self.path in HEART

    @property
    def lot(self) -> str:
        """What it drew: the least are the sample."""
        return _hash(f"{SEED} {self.name}")

    def source(self) -> str:
        """Give the changed file."""
        return str(mutate_code(_text(self.path), OPERATORS[self.operator], self.occurrence))

    @cached_property
    def change(self) -> Change:
        """The first line that differs, before and after."""
        before, after = _text(self.path).splitlines(), self.source().splitlines()
        place = next(number for number, (one, other) in enumerate(zip(before, after, strict=False)) if one != other)
        return Change(self.path.removeprefix("app/"), self.where, before[place].strip(), after[place].strip())


def heart() -> list[Mutant]:
    """Give every change in the heart of the rules."""
    return [mutant for path in HEART for mutant in _mutants(path)]


def sample() -> list[Mutant]:
    """Give the sample of the changes elsewhere, file by file, those of the ledger last."""
    paths = sorted(str(path.relative_to(ROOT)) for place in ELSEWHERE for path in (ROOT / place).rglob("*.py"))
    every = [mutant for path in paths if path not in HEART for mutant in _mutants(path)]
    drawn = sorted(every, key=lambda mutant: mutant.lot)[:SAMPLE]
    return sorted(drawn, key=lambda mutant: (mutant.area != "rules", mutant.path, mutant.line))


def _mutants(path: str) -> Iterator[Mutant]:
    tree, lines = get_ast(_text(path)), _text(path).splitlines()
    known: Counter[str] = Counter()
    for operator, planting in OPERATORS.items():
        places = ((node, place) for node in ast_nodes(tree) for place in planting.mutation_positions(node))
        for occurrence, (node, place) in enumerate(places):
            line, where = place[0][0], _where(node)
            same = f"{path} {where} {operator} {lines[line - 1].strip()}"
            known[same] += 1
            name = f"{same} {known[same]}"
            around = search_ancestor(node, "funcdef") or tree
            yield Mutant(path, operator, occurrence, line, where, name, _hash(f"{name} {around.get_code()}"))


def _where(node: Any) -> str:
    decorator = search_ancestor(node, "decorator")
    node = search_ancestor(decorator, "decorated").children[-1].name if decorator else node
    names: list[str] = []
    while (node := search_ancestor(node, "funcdef", "classdef")) is not None:
        names.insert(0, node.name.value)
    return ".".join(names) or "module"


@cache
def _text(path: str) -> str:
    return Path(ROOT, path).read_text("utf-8")


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]
