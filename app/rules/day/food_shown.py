"""What an assessment shows of food set aside: what holds it, and for each finding where its food is."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import NamedTuple

from app.kinds import (
    Entry,
    Release,
    Subject,
)

from ..facts import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class SetAsideView:
    """Food set aside in one holder: since when, for which findings (keys), and what may be done with it."""

    since: datetime
    findings: tuple[str, ...]
    cleared: tuple[str, ...]
    """Keys of findings that a mending made go away and that nobody verified yet."""
    ways: tuple[str, ...]
    """The ways out that are right now."""
    release: bool
    """Whether every finding may be released."""
    can_be_made_good: bool = False
    """Whether it ends where the food is: by cooking a spit on, or by a good reheat."""
    reasons: tuple[Finding, ...] = field(default=(), compare=False, repr=False)
    """The findings themselves, of whichever day; those that a mending made go away last."""


class FoodHere(NamedTuple):
    """Birds of a finding in one holder."""

    holder: Subject
    birds: Decimal


class FoodGone(NamedTuple):
    """Birds of a finding that left the kitchen."""

    to: str
    birds: Decimal
    at: datetime


class FoodMadeGood(NamedTuple):
    """Birds of a finding that were cooked on, or reheated, as it asks: out of which holder, into which tray."""

    holder: Subject
    into: Subject | None
    birds: Decimal
    at: datetime


class Released(NamedTuple):
    """A release of food in one holder, and the finding that had set it aside."""

    entry: Release
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Food:
    """What was done with the food that a finding sets aside."""

    here: tuple[FoodHere, ...]
    gone: tuple[FoodGone, ...]
    """Every way out, before the onset too."""
    made_good: tuple[FoodMadeGood, ...]
    """What its way made good, so that the finding holds it no longer."""
    released: tuple[Entry, ...]
    """The releases that let go of some of it."""
