"""What an assessment shows of each subject: spits and loads, trays, batches, reheats, probes, units, deliveries."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import NamedTuple

from app.kinds import (
    CookReading,
    CorrectiveAction,
    Entry,
    HoldReading,
    LoadStarted,
    ProbeCheck,
    Receiving,
    SpitLoaded,
    SpitPulled,
    Subject,
    Temperature,
    TrayOut,
    UnitCheck,
)

from ..facts import Verdict
from ..history.movements import Moves, stood_at
from ..plans.limits import TemperatureLimit
from ..plans.plan import Plan
from .food_shown import Released, SetAsideView


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
        if len({state.entry.reading.unit for state in self.states}) == 1:  # as nearly always
            return min(self.states, key=lambda state: state.entry.reading.value)
        return min(self.states, key=lambda state: state.entry.reading.celsius, default=None)


class SpitView(NamedTuple):
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
    """By which its verdict was found: at the pull judged worst, else now."""
    latest: tuple[BirdState, ...]
    """The latest of each bird, those read after a part was pulled among them."""
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

    @property
    def probed_by_now(self) -> int:
        """Different birds with a reading, those after a part was pulled among them."""
        return len({state.bird for state in self.latest})


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


class TrayView(NamedTuple):
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
    ordered: tuple[CorrectiveAction, ...]
    """The corrective actions about its birds that were not carried out yet."""
    ways_in_order: tuple[str, ...]
    """Of the ways out that are right now, those that all of these leave."""
    by_time: bool
    """True where it is held by time alone: time as the control started, and its start is met."""
    running_out: bool
    """True while time out of temperature is being counted."""
    moves: Moves
    plan: Plan
    """The plan in force when it was filled first."""
    set_aside: SetAsideView | None
    released: tuple[Released, ...]
    """What of its food was set aside and released, in order of time."""

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
    ordered: tuple[CorrectiveAction, ...]
    """The corrective actions about its birds that were not carried out yet."""
    ways_in_order: tuple[str, ...]
    """Values of batch_out's `to`, and `reheated`, that all of these leave, and what sets it aside."""
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was opened."""
    set_aside: SetAsideView | None
    released: tuple[Released, ...]
    """What of its food was set aside and released, in order of time."""


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
    ordered: tuple[CorrectiveAction, ...]
    """The corrective actions about its birds that were not carried out yet."""
    ways_in_order: tuple[str, ...]
    """Of `into_tray` and `discarded` those that all of these leave, and what sets it aside."""
    plan: Plan = field(compare=False, repr=False)
    """The plan in force when it was started."""
    set_aside: SetAsideView | None
    released: tuple[Released, ...]
    """What of its food was set aside and released, in order of time."""


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
