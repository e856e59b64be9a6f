"""Which changes are planted where: everything in the heart of the rules, a seeded sample elsewhere."""

import hashlib
import random
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code

from .operators import Position, operators

ROOT = Path(__file__).parents[2]

HEART = (
    "app/rules/history/exposure.py",
    "app/rules/history/parts.py",
    "app/rules/subjects/holding.py",
    "app/rules/subjects/time_control.py",
    "app/rules/subjects/cooling.py",
    "app/rules/day/records.py",
    "app/rules/day/cleared.py",
)
"""Time out of temperature, time as the control, cooling, and the answers of findings: every change is planted."""

ELSEWHERE = ("app/rules", "app/ledger/checks")
SAMPLE, SEED = 300, 20260414
"""So many changes of all those elsewhere, always the same ones for the same code."""

OPERATORS = operators()


@dataclass(frozen=True)
class Mutant:
    """One change: the operator's so-manieth place in a file."""

    path: str
    operator: str
    occurrence: int
    position: Position
    in_heart: bool

    @cached_property
    def key(self) -> str:
        """Its name for as long as the file is as it is."""
        text = (ROOT / self.path).read_text("utf-8")
        return hashlib.sha256(f"{self.path} {self.operator} {self.occurrence} {text}".encode()).hexdigest()[:16]

    def source(self) -> str:
        """Give the changed file."""
        text = (ROOT / self.path).read_text("utf-8")
        return str(mutate_code(text, OPERATORS[self.operator], self.occurrence))

    def change(self) -> tuple[str, str]:
        """Give the first line that differs, before and after."""
        before, after = (ROOT / self.path).read_text("utf-8").splitlines(), self.source().splitlines()
        place = next(number for number, (one, other) in enumerate(zip(before, after, strict=False)) if one != other)
        return before[place].strip(), after[place].strip()

    @property
    def line(self) -> int:
        """The line where it begins."""
        return self.position[0][0]


def heart() -> list[Mutant]:
    """Give every change in the heart of the rules."""
    return [mutant for path in HEART for mutant in _mutants(path, in_heart=True)]


def sample() -> list[Mutant]:
    """Give the sample of the changes elsewhere."""
    paths = sorted(str(path.relative_to(ROOT)) for place in ELSEWHERE for path in (ROOT / place).rglob("*.py"))
    every = [mutant for path in paths if path not in HEART for mutant in _mutants(path, in_heart=False)]
    return random.Random(SEED).sample(every, min(SAMPLE, len(every)))


def _mutants(path: str, *, in_heart: bool) -> Iterator[Mutant]:
    tree = get_ast((ROOT / path).read_text("utf-8"))
    for name, operator in OPERATORS.items():
        places = (place for node in ast_nodes(tree) for place in operator.mutation_positions(node))
        for occurrence, place in enumerate(places):
            yield Mutant(path, name, occurrence, place, in_heart)
