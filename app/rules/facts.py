"""What a rule sees: entries, the site, and what it answers with: verdicts and findings."""

from bisect import bisect_right
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any, Generic, NamedTuple, TypeVar
from zoneinfo import ZoneInfo

from app.kinds import ActionVerified, CorrectiveAction, Entry, Release, Subject


class Word(StrEnum):
    """A word of a closed set, hashed as the text that it is: an Enum's own hash is a call for each look-up."""

    __hash__ = str.__hash__


class Verdict(Word):
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
    """Somebody of the site; what their `role` may do, kinds.permissions says."""

    login: str
    name: str
    role: str
    since: datetime | None = None
    retired_at: datetime | None = None
    certificate: str | None = None
    """The number of the certificate that a person in charge holds, as it was written down."""


_Held = TypeVar("_Held")
_LAST = 2**62
"""After every seq."""


@dataclass(frozen=True, slots=True)
class Timeline(Generic[_Held]):
    """What held from when on, in order of time and, of one moment, of seq. The first holds for all time before."""

    since: tuple[tuple[datetime, int], ...]
    values: tuple[_Held, ...]

    def at(self, moment: datetime, seq: int = _LAST) -> _Held:
        """Give what held at a moment; of changes of that very moment those up to `seq`."""
        return self.values[max(bisect_right(self.since, (moment, seq)) - 1, 0)]


@dataclass(frozen=True, slots=True)
class Site:
    """The kitchen as the rules see it: as it is set up, and as it was at other moments."""

    code: str
    name: str
    timezone: ZoneInfo
    altitude_m: Decimal | None = None
    people: Mapping[str, Person] = field(default_factory=dict)
    equipment: Mapping[str, Equipment] = field(default_factory=dict)
    address: str | None = None
    permit: str | None = None
    """The number of the permit to operate, as it was written down."""
    clock: int = 24
    """Hours of the clock by which its times are shown: 12 or 24."""
    unit: str | None = None
    """The scale in which its pads begin, F or C; None where nobody said."""
    own_checks: Mapping[str, str] = field(default_factory=dict)
    """What the kitchen calls the check items that it made up itself, in every version of its plan."""
    altitudes: Timeline[Decimal | None] | None = field(default=None, compare=False, repr=False)
    scales: Mapping[str, Timeline[str | None]] = field(default_factory=dict, compare=False, repr=False)
    persons: Mapping[str, Timeline[Person]] = field(default_factory=dict, compare=False, repr=False)
    clocks: tuple[tuple[int, datetime], ...] = field(default=(), compare=False, repr=False)
    """Where the server's clock was put back: the seq of that entry, and what the clock said from then on."""

    def altitude_at(self, at: datetime) -> Decimal | None:
        """Give the height above the sea as it was set then, in metres."""
        return self.altitude_m if self.altitudes is None else self.altitudes.at(at)

    def scale_at(self, code: str, at: datetime) -> str | None:
        """Give the scale of a probe as it was listed then; None for what is not listed, or no probe."""
        if code in self.scales:
            return self.scales[code].at(at)
        return self.equipment[code].scale if code in self.equipment else None

    def author_of(self, entry: Entry) -> Person | None:
        """Give who wrote an entry, with the name and the role of when it was written down."""
        known = self.persons.get(entry.person)
        if known is None:
            return self.people.get(entry.person)
        if len(known.values) == 1:  # as nearly always
            return known.values[0]
        return known.at(self._written_by(entry), entry.seq)

    def authors_of(self, entries: Iterable[Entry]) -> list[Person]:
        """Give who wrote some entries, whoever had another name or role meanwhile with each of them."""
        by_login: dict[str, list[Entry]] = {}
        for entry in entries:
            by_login.setdefault(entry.person, []).append(entry)
        found: list[Person | None] = []
        for login, written in by_login.items():
            is_always_the_same = login not in self.persons or len(self.persons[login].values) == 1
            found += [self.author_of(entry) for entry in (written[:1] if is_always_the_same else written)]
        return [person for person in found if person is not None]

    def _written_by(self, entry: Entry) -> datetime:
        """Give when an entry was recorded: where the clock ran ahead, no later than when it was put back."""
        return min([entry.recorded_at, *(at for seq, at in self.clocks if seq > entry.seq)])


class Finding(NamedTuple):
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
    sets_aside: bool = False
    """Whether it sets food aside, by the plan of its subject."""

    @property
    def may_be_released(self) -> bool:
        """Whether somebody in charge may release the food that it sets aside."""
        return self.sets_aside and "hold_for_evaluation" in self.dispositions

    @property
    def is_signed_late(self) -> bool:
        """Whether it is about a day that was signed after it was due: the signature answered it, late."""
        return self.rule == "record.sign_off_due" and self.ended_at is not None and self.status is Status.OPEN


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """What people did about a finding, in order of time, and whether its author's own verification counts."""

    actions: tuple[CorrectiveAction, ...] = ()
    verifications: tuple[ActionVerified, ...] = ()
    releases: tuple[Release, ...] = ()
    verified_by: ActionVerified | None = None
    by_author: bool = False
    """True where the author of the action verified it, there being nobody else in charge that day."""

    @property
    def sent_back(self) -> ActionVerified | None:
        """The review that sent the newest action back; None where none did, or something was done since."""
        last = self.verifications[-1] if self.verifications else None
        if last is None or last.outcome != "sent_back":
            return None
        return None if self.actions and self.actions[-1].seq > last.seq else last


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleared:
    """A finding that a mending made go away; it wants verification like a critical one."""

    finding: Finding
    mended_by: Entry
