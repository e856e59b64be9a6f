"""What an assessment shows: the views of a day's subjects, what is owed, and whether it was signed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple

from app.kinds import (
    CookReading,
    Entry,
    HoldReading,
    LoadStarted,
    ProbeCheck,
    Receiving,
    RegisterEntry,
    SignOff,
    SpitLoaded,
    SpitPulled,
    Subject,
    Temperature,
    TrayOut,
    UnitCheck,
)

from ..facts import Answers, Cleared, Finding, Site, Verdict
from ..history.movements import Moves, stood_at
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan

if TYPE_CHECKING:
    from ..history.set_aside import Doubts


class BirdState(NamedTuple):
    """The latest reading of one bird at one place, and whether it meets the cooking limit with its dwell."""

    bird: int
    place: str
    entry: CookReading
    met: bool
    on_target: bool | None
    """Whether it is at or above the kitchen's target too; None where the plan has none. No verdict rests on it."""


@dataclass(frozen=True, slots=True)
class TableConditions:
    """What the records show of the conditions of a table pair: humidity, and time from 50 to 130 °F."""

    humidity: Verdict
    come_up: Verdict


class SpitJudgement(NamedTuple):
    """What the readings of a spit show at a moment, and how many different birds must have been probed."""

    verdict: Verdict
    states: tuple[BirdState, ...]
    birds_needed: int
    conditions: TableConditions | None
    """None where the plan rests on no table pair."""

    @property
    def birds_probed(self) -> int:
        """Different birds with a reading."""
        return len({state.bird for state in self.states})

    @property
    def lowest(self) -> BirdState | None:
        """The coolest latest reading, of whichever scale; no verdict rests on the comparison."""
        return min(self.states, key=lambda state: state.entry.reading.celsius, default=None)


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Food:
    """What became of the food that a finding sets aside."""

    here: tuple[FoodHere, ...]
    gone: tuple[FoodGone, ...]
    """Every way out, before the onset too."""
    made_good: tuple[FoodMadeGood, ...]
    """What its way made good, so that the finding holds it no longer."""
    released: tuple[Entry, ...]
    """The releases that let go of some of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpitView:
    """One spit of a load as the day shows it."""

    spit: int
    birds: int
    lots: tuple[str, ...]
    verdict: Verdict
    birds_probed: int
    lowest: Temperature | None
    pulled_at: datetime | None
    trays: tuple[str, ...]
    birds_on: int
    """Birds still on the spit."""
    birds_needed: int
    """How many birds must be probed before a pull (all loaded less discarded, if fewer)."""
    states: tuple[BirdState, ...]
    readings: tuple[CookReading, ...]
    loadings: tuple[SpitLoaded | TrayOut, ...]
    """What was put on it; birds that came back to the oven came out of a tray."""
    pulls: tuple[SpitPulled, ...]
    if_pulled: Verdict
    """The verdict a pull of all birds at `as_of` would get."""
    conditions: TableConditions | None
    """What is shown of a table pair's conditions, at the pull judged worst or at `as_of` before any."""
    target: TemperatureLimit | None
    """What the plan of its load cooks to for texture: no limit."""
    set_aside: SetAsideView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadView:
    """A load with its spits."""

    load: str
    oven: str
    started_at: datetime
    spits: tuple[SpitView, ...]
    opener: LoadStarted
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was started."""


class HeldReading(NamedTuple):
    """A hot-hold reading: where its tray stood at that moment, and whether it is under the tray's limit."""

    entry: HoldReading
    hot_unit: str | None
    is_low: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayView:
    """A tray as the day shows it; `history` is every entry that names it, in order of time."""

    tray: str
    hot_unit: str | None
    birds_in: Decimal
    birds_left: Decimal
    verdict: Verdict
    known_hot_at: datetime | None
    check_due_at: datetime | None
    out_of_temperature_s: int
    time_band: str
    """under_2h, from_2h or from_4h."""
    discard_at: datetime | None
    opened_at: datetime
    history: tuple[Entry, ...]
    ways_out: tuple[str, ...]
    """Values of tray_out's `to` that are right now: by its band, time as the control, and what sets it aside."""
    by_time: bool
    """True where it is held by time alone: time as the control started, and its start is met."""
    running_out: bool
    """True while time out of temperature is being counted."""
    moves: Moves
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was filled first."""
    set_aside: SetAsideView | None

    @property
    def held(self) -> tuple[HeldReading, ...]:
        """Its readings, in order of time."""
        return tuple(
            HeldReading(
                entry,
                stood_at(self.moves, entry.observed_at),
                not self.plan.limits.hot_holding.at_or_above(entry.reading),
            )
            for entry in self.history
            if isinstance(entry, HoldReading)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class StageView:
    """One stage of cooling."""

    verdict: Verdict
    due_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchView:
    """A chilled batch."""

    batch: str
    birds_in: Decimal
    birds_left: Decimal
    first_stage: StageView | None
    total: StageView | None
    use_by: date | None
    product: str | None
    """What was prepared, as last named; None for plain birds."""
    started_at: datetime
    """When the cooling clock started."""
    cold_unit: str | None
    history: tuple[Entry, ...]
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was opened."""
    set_aside: SetAsideView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ReheatView:
    """A reheat: from a batch (or straight from a tray) to a tray."""

    reheat: str
    source: Subject
    """The batch or tray it was started from."""
    birds_in: Decimal
    birds_left: Decimal
    verdict: Verdict
    started_at: datetime
    due_at: datetime
    history: tuple[Entry, ...]
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was started."""
    set_aside: SetAsideView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeView:
    """A probe's last check: verdict (not_shown without any), error in `unit`, and when the next check is due."""

    probe: str
    verdict: Verdict
    error: Decimal | None
    unit: str | None
    due_at: datetime | None
    checks: tuple[ProbeCheck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdUnitView:
    """A cold unit on this day."""

    unit_code: str
    verdict: Verdict
    checks: int
    last: UnitCheck | None
    history: tuple[UnitCheck, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivingView:
    """A delivery as received."""

    lot: str
    product: str
    supplier: str
    birds: int
    decision: str
    verdict: Verdict
    entry: Receiving


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocking:
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
