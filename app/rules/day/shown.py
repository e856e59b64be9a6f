"""What an assessment shows of a day: the views of its subjects, what is owed, and whether it was signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import (
    Entry,
    RegisterEntry,
    SignOff,
    Subject,
)

from ..facts import Answers, Cleared, Finding, Site
from ..plans.plan import Plan
from .food_shown import Food
from .subjects_shown import BatchView, ColdUnitView, LoadView, ProbeView, ReceivingView, ReheatView, TrayView

if TYPE_CHECKING:
    from ..history.set_aside import Doubts


@dataclass(frozen=True, slots=True, kw_only=True)
class Birds:
    """The day's movements of birds; `left` is all held at `as_of`, wherever it came from."""

    loaded: Decimal
    pulled: Decimal
    served: Decimal
    prepared: Decimal
    donated: Decimal
    discarded: Decimal
    chilled: Decimal
    reheated: Decimal
    returned_to_oven: Decimal
    left: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """Something in the day's readings that a reviewer would look at twice; no verdict."""

    pattern: str
    """written_together, jump or early."""
    entries: tuple[Entry, ...]
    """Newest versions of all that take part, by seq of the first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """How many critical readings the day has, and how many of them were written late."""

    readings: int
    late: int


class Blocking(NamedTuple):
    """One thing that stands in the way of signing: kind is finding, cleared or running."""

    kind: str
    subject: Subject
    key: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A sign-off of the day; `stale` when a later entry touched the day."""

    seq: int
    covers_seq: int
    covers_hash: str
    signer_name: str
    at: datetime
    stale: bool
    by_maker: bool
    """True where the signer made entries of the day: «reviewed by the person who made the records»."""
    entry: SignOff


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What the records of one business day mean, from what is known at `as_of`."""

    site: Site
    day: date
    starts_at: datetime
    ends_at: datetime
    as_of: datetime
    through_seq: int
    plan: Plan
    """The plan in force when the day started."""
    plans: tuple[Plan, ...]
    """Each version in force at some moment of the day, in their order."""
    entries: tuple[Entry, ...]
    """Of the subjects shown and what fed them, by seq, all versions."""
    superseded_by: Mapping[str, str]
    """Entry id → id of the next version."""
    loads: tuple[LoadView, ...]
    trays: tuple[TrayView, ...]
    batches: tuple[BatchView, ...]
    reheats: tuple[ReheatView, ...]
    probes: tuple[ProbeView, ...]
    cold_units: tuple[ColdUnitView, ...]
    receiving: tuple[ReceivingView, ...]
    findings: tuple[Finding, ...]
    cleared: tuple[Cleared, ...]
    answers: Mapping[str, Answers]
    """Key of a finding (or cleared finding) → what people did about it."""
    food: Mapping[str, Food]
    """Key of a finding (or cleared finding) that sets food aside → what became of that food."""
    birds: Birds
    ready_to_sign: bool
    blocking: tuple[Blocking, ...]
    signings: tuple[Signed, ...]
    """Every sign-off of the day, by seq."""
    carried_in: Mapping[Subject, Decimal]
    """Birds held at the start of the day, by what held them."""
    carried_out: Mapping[Subject, Decimal]
    """Birds held at the day's end (or at `as_of` while it runs), by what holds them."""
    patterns: tuple[Pattern, ...]
    late: Late
    in_charge: str | None
    """Login of who last took charge on this day."""
    doubts: Doubts = field(compare=False, repr=False)
    """The means to follow the food of a finding."""
    set_up: tuple[RegisterEntry, ...] = ()
    """What was changed of the register on this day: people, equipment, plan, the kitchen itself."""
    roles_since: datetime | None = None
    """Where people's roles on this day are only known from a later moment on, that moment."""

    @property
    def signed(self) -> Signed | None:
        """The newest sign-off of the day; None where nobody signed."""
        return self.signings[-1] if self.signings else None

    @property
    def running(self) -> bool:
        """Whether the day was still in progress at `as_of`."""
        return self.as_of < self.ends_at
