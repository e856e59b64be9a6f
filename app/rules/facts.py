"""What a rule sees: entries, the site, and what it answers with: verdicts and findings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo


class Verdict(StrEnum):
    """What the records show against a limit."""

    MET = "met"
    NOT_MET = "not_met"
    NOT_SHOWN = "not_shown"
    PENDING = "pending"


_SEVERITY = {Verdict.MET: 0, Verdict.PENDING: 1, Verdict.NOT_SHOWN: 2, Verdict.NOT_MET: 3}


def worst(verdicts: Iterable[Verdict], *, otherwise: Verdict = Verdict.MET) -> Verdict:
    """Give the worst verdict: not met, not shown, pending, met; `otherwise` when there is none."""
    return max(verdicts, key=_SEVERITY.__getitem__, default=otherwise)


class Concern(StrEnum):
    """What a finding is about, which decides who must answer it."""

    CRITICAL_LIMIT = "critical_limit"
    MONITORING = "monitoring"
    VERIFICATION = "verification"


class Status(StrEnum):
    """How far a finding has been answered; sent back is open again."""

    OPEN = "open"
    ACTED = "acted"
    VERIFIED = "verified"


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature as read from a display: never converted, never rounded. `unit` is F or C."""

    value: Decimal
    unit: str

    @property
    def celsius(self) -> Decimal:
        """In °C, to compare readings of different scales with each other; no verdict rests on it."""
        return self.value if self.unit == "C" else (self.value - 32) * 5 / 9


@dataclass(slots=True, eq=False)
class Entry:
    """One version of one entry, typed. Treated as a value: nothing changes it after it was read.

    `fields` holds the kind's own fields and the optional common ones (`note`, `amend_reason`, `entered_at`,
    `clock_offset_s`): measured values as Decimal, instants as UTC datetime, dates as date, counts as int.
    """

    seq: int
    id: str
    kind: str
    observed_at: datetime
    recorded_at: datetime
    person: str
    via: str
    late: bool
    root_seq: int
    """Seq of the first version; its own unless it amends."""
    root: str
    """Id of the first version: the identity of the entry."""
    amends: str | None = None
    """Id of the version that this one replaces."""
    withdrawn: bool = False
    fields: Mapping[str, Any] = field(default_factory=dict)

    @property
    def temperature(self) -> Temperature | None:
        """What the display showed, if this entry has a temperature."""
        return None if self.fields.get("temperature") is None else self.reading

    @property
    def reading(self) -> Temperature:
        """What the display showed, for a kind that always has a temperature."""
        return Temperature(self.fields["temperature"], self.fields["unit"])


@dataclass(frozen=True, slots=True)
class Equipment:
    """A listed oven, hot_unit, cold_unit or probe; `scale` (F, C, dual) for probes."""

    code: str
    kind: str
    scale: str | None = None
    since: datetime | None = None
    """When it was listed; None for what was there from the ledger's first day."""
    retired_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody of the site; `role` is cook, in_charge or inspector."""

    login: str
    name: str
    role: str
    since: datetime | None = None
    retired_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Site:
    """The kitchen as the rules see it."""

    code: str
    name: str
    timezone: ZoneInfo
    altitude_m: Decimal | None = None
    people: Mapping[str, Person] = field(default_factory=dict)
    equipment: Mapping[str, Equipment] = field(default_factory=dict)


class Subject(NamedTuple):
    """What a finding is about, e.g. tray A-T1, or spit 2 of load A-L1."""

    kind: str
    name: str
    spit: int | None = None

    @property
    def label(self) -> str:
        """Name as it stands in a finding's key: `A-L1/2` for a spit."""
        return self.name if self.spit is None else f"{self.name}/{self.spit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """A deviation or a gap. A code and values, never a sentence: words are made at the edge."""

    key: str
    rule: str
    subject: Subject
    verdict: Verdict
    concerns: Concern
    day: date
    onset_at: datetime
    found_at: datetime
    ended_at: datetime | None
    entries: tuple[str, ...]
    """First-version ids: the opener, then what the finding rests on; never the entry that ended it."""
    measured: Mapping[str, Any]
    limit: Mapping[str, Any]
    source: str
    dispositions: tuple[str, ...]
    status: Status = Status.OPEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What people did about a finding, in order of time, and whether its author's own verification counts."""

    actions: tuple[Entry, ...] = ()
    verifications: tuple[Entry, ...] = ()
    verified_by: Entry | None = None
    by_author: bool = False
    """True where the author of the action verified it, there being nobody else in charge that day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleared:
    """A finding that a mending made go away; it wants verification like a critical one."""

    finding: Finding
    mended_by: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdState:
    """The latest reading of one bird at one place, and whether it meets the cooking limit with its dwell."""

    bird: int
    place: str
    entry: Entry
    met: bool


@dataclass(frozen=True, slots=True)
class SpitJudgement:
    """What the readings of a spit show at a moment, and how many different birds must have been probed."""

    verdict: Verdict
    states: tuple[BirdState, ...]
    birds_needed: int

    @property
    def birds_probed(self) -> int:
        """Different birds with a reading."""
        return len({state.bird for state in self.states})

    @property
    def lowest(self) -> BirdState | None:
        """The coolest latest reading, of whichever scale; no verdict rests on the comparison."""
        return min(self.states, key=lambda state: state.entry.reading.celsius, default=None)


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
    readings: tuple[Entry, ...]
    loadings: tuple[Entry, ...]
    pulls: tuple[Entry, ...]
    if_pulled: Verdict
    """The verdict a pull of all birds at `as_of` would get."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadView:
    """A load with its spits."""

    load: str
    oven: str
    started_at: datetime
    spits: tuple[SpitView, ...]
    opener: Entry


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
    """Values of tray_out's `to` that the plan allows in the tray's band (or under time as the control)."""
    running_out: bool
    """True while time out of temperature is being counted."""


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
    started_at: datetime
    """When the cooling clock started."""
    cold_unit: str | None
    history: tuple[Entry, ...]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ProbeView:
    """A probe's last check: verdict (not_shown without any), error in `unit`, and when the next check is due."""

    probe: str
    verdict: Verdict
    error: Decimal | None
    unit: str | None
    due_at: datetime | None
    checks: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdUnitView:
    """A cold unit on this day."""

    unit_code: str
    verdict: Verdict
    checks: int
    last: Entry | None
    history: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceivingView:
    """A delivery as received."""

    lot: str
    product: str
    supplier: str
    birds: int
    decision: str
    verdict: Verdict
    entry: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Birds:
    """The day's movements of birds; `left` is all held at `as_of`, wherever it came from."""

    loaded: Decimal = Decimal(0)
    pulled: Decimal = Decimal(0)
    served: Decimal = Decimal(0)
    prepared: Decimal = Decimal(0)
    donated: Decimal = Decimal(0)
    discarded: Decimal = Decimal(0)
    chilled: Decimal = Decimal(0)
    reheated: Decimal = Decimal(0)
    returned_to_oven: Decimal = Decimal(0)
    left: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Blocking:
    """One thing that stands in the way of signing: kind is finding, cleared or running."""

    kind: str
    subject: Subject
    key: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """The day's newest sign-off; `stale` when a later entry touched the day."""

    seq: int
    covers_seq: int
    covers_hash: str
    signer_name: str
    at: datetime
    stale: bool
    by_maker: bool
    """True where the signer made entries of the day: «reviewed by the person who made the records»."""
    entry: Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Assessment:
    """What the records of one business day mean, from what is known at `as_of`."""

    site: Site
    day: date
    starts_at: datetime
    ends_at: datetime
    as_of: datetime
    through_seq: int
    plan: Any
    """The `rules.plan.Plan` in force on the day."""
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
    birds: Birds
    ready_to_sign: bool
    blocking: tuple[Blocking, ...]
    signed: Signed | None
    carried_in: Mapping[Subject, Decimal]
    """Birds held at the start of the day, by what held them."""
    carried_out: Mapping[Subject, Decimal]
    """Birds held at the day's end (or at `as_of` while it runs), by what holds them."""
    in_charge: str | None
    """Login of who last took charge on this day."""

    @property
    def running(self) -> bool:
        """Whether the day was still in progress at `as_of`."""
        return self.as_of < self.ends_at
