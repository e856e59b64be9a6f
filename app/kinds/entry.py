"""An entry: what every one has, whatever its kind; and the values that entries are made of."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from functools import wraps
from typing import Any, ClassVar, NamedTuple, TypeVar


class Temperature(NamedTuple):
    """A temperature as read from a display: never converted, never rounded. `unit` is F or C."""

    value: Decimal
    unit: str

    @property
    def celsius(self) -> Decimal:
        """In °C, to compare readings of different scales with each other; no verdict rests on it."""
        return self.value if self.unit == "C" else (self.value - 32) * 5 / 9


class Weight(NamedTuple):
    """A weight as read from a scale; `unit` is lb or kg."""

    value: Decimal
    unit: str


class Subject(NamedTuple):
    """What an entry or a finding is about, e.g. tray A-T1, or spit 2 of load A-L1."""

    kind: str
    name: str
    spit: int | None = None

    @property
    def label(self) -> str:
        """Name as it stands in a finding's key: `A-L1/2` for a spit."""
        return self.name if self.spit is None else f"{self.name}/{self.spit}"


class Flow(NamedTuple):
    """Birds into (positive) or out of (negative) one subject; `field` is where the entry names it."""

    subject: Subject
    birds: Decimal
    field: str


@dataclass(frozen=True, slots=True)
class Cases:
    """The cases that other fields depend on, and which of them a value of this field is."""

    values: tuple[str, ...]
    case_of: Callable[[Any], str] = str


class _Kept:
    """What is worked out of an entry once: it never changes, and is asked for many times over in a day."""

    __slots__ = ("_flows", "_names")


E = TypeVar("E", bound=_Kept)
T = TypeVar("T")


def once_an_entry(slot: str) -> Callable[[Callable[[E], T]], Callable[[E], T]]:
    """Keep what a function of an entry gives, with the entry, under one of its slots `_flows` and `_names`."""

    def keep(function: Callable[[E], T]) -> Callable[[E], T]:
        @wraps(function)
        def of(entry: E) -> T:
            try:
                found: T = getattr(entry, slot)
            except AttributeError:
                found = function(entry)
                object.__setattr__(entry, slot, found)
            return found

        return of

    return keep


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Entry(_Kept):
    """One version of one entry, typed by its kind: each kind is a class of its own in this package.

    Measured values are Decimal, instants UTC datetimes, days dates, counts int. What an entry does not say is None.
    """

    KIND: ClassVar[str] = ""
    """The kind's name in the exchange format."""
    AMENDABLE: ClassVar[bool] = True
    WITHDRAWABLE: ClassVar[bool] = True
    """Whether it can be withdrawn; what can be amended always can."""
    IS_WORK: ClassVar[bool] = True
    """Whether it records the work itself: who made such entries of a day signs as the person who made the records."""
    COUNTS_FOR_DAY: ClassVar[bool] = True
    """Whether a day with such an entry asks for its checks and its sign-off; answers, notes and signatures do not."""

    IS_SIGNATURE: ClassVar[bool] = False
    """Whether it signs what others wrote: it changes nothing that was signed before."""
    IS_READING: ClassVar[bool] = False
    """Whether it is a temperature read at one moment, which counts for what happens at that moment."""
    ABOUT: ClassVar[tuple[str, str] | None] = None
    """Attribute and kind of subject that it is about, where that is not the first food that it names."""
    CASES: ClassVar[Mapping[str, Cases]] = {}
    """Where other fields depend on a field that is no choice among words: its cases, by the field."""

    seq: int
    id: str
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
    amend_reason: str | None = None
    note: str | None = None
    entered_at: datetime | None = None
    """When it was saved on a tablet, by the tablet's clock."""
    identified: str | None = None
    """What showed whose entry it is, where it came from a tablet's page: `pin`, or `recent`: the name alone, of
    somebody who was at that tablet within the last minutes."""
    clock_offset_s: Decimal | None = None
    """What must be added to the tablet's clock to get the server's, in seconds."""

    @property
    def kind(self) -> str:
        """The name of its kind."""
        return self.KIND

    @property
    def withdrawn(self) -> bool:
        """Whether this version takes the entry back."""
        return False

    def flows(self) -> tuple[Flow, ...]:
        """Give the movements of birds that it records, what is taken first."""
        return ()


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Withdrawal(Entry):
    """A version that takes an entry back and says nothing else."""

    of: type[Entry]
    """The kind of what is taken back."""

    @property
    def kind(self) -> str:
        """The name of the kind of what is taken back."""
        return self.of.KIND

    @property
    def withdrawn(self) -> bool:
        """True: nothing of the entry counts any more."""
        return True


K = TypeVar("K", bound=Entry)


def of_kind(entries: Iterable[Entry], kind: type[K]) -> list[K]:
    """Give the entries of one kind, in the order given, typed as that kind; withdrawals are of no kind."""
    return [entry for entry in entries if isinstance(entry, kind)]


def temperature_of(entry: Entry) -> Temperature | None:
    """Give the temperature that an entry of whatever kind was read with; None where it has none."""
    found: Temperature | None = getattr(entry, "reading", None)
    return found


def probe_of(entry: Entry) -> str | None:
    """Give the probe that an entry of whatever kind names; None where it names none."""
    found: str | None = getattr(entry, "probe", None)
    return found


def value_of(entry: Entry, attribute: str) -> Any:
    """Give what an entry of whatever kind says in one attribute; None where its kind has none, or it says nothing."""
    return getattr(entry, attribute, None)
