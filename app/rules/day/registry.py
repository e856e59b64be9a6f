"""The rules, each declared once beside its function: name, group, subject, what it reads, how far it reaches.

Whatever must know all rules (reading a day, keeping figures, judging a mending, the documents) asks here.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import timedelta
from functools import cache
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Literal

from app.kinds import Entry
from app.kinds.form import once_a_kind
from app.kinds.naming import names_food

from ..facts import Concern, Verdict, Word
from ..history.origins import FoodOf, what_is_there
from .reach import DAY, Line, Reach

if TYPE_CHECKING:
    from .judge import Judged
    from .register_calendar import RegisterCalendar


class Each(Word):
    """What a rule is asked for, once each."""

    LOAD = "load"
    SPIT = "spit"
    TRAY = "tray"
    BATCH = "batch"
    REHEAT = "reheat"
    DELIVERY = "delivery"
    PROBE = "probe"
    KITCHEN = "kitchen"
    ASIDE = "aside"
    """A tray or batch, once it is known what every other finding sets aside."""
    ORDERS = "orders"
    """What corrective actions ordered of all food, once it is known what is set aside."""
    DAY = "day"


class Critical(Word):
    """When a finding is about a critical limit, so that its answer wants to be verified."""

    NEVER = "never"
    NOT_MET = "not_met"
    ALWAYS = "always"


MayStand = Callable[[Sequence[Entry], "RegisterCalendar"], bool]
Dispositions = Mapping[Verdict, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One rule as declared. `group` None: always in force. `report` finds and reports, for one of `each`.

    A rule asked of the whole kitchen, or of a probe, holds each reading to the plan of its own moment: it asks that
    plan itself whether its group is in force.
    """

    name: str
    group: str | None
    each: Each
    subjects: tuple[str, ...]
    """The kinds of subjects that its findings are about."""
    reads: frozenset[type[Entry]]
    """Every kind that can change what it finds: what it looks at, and what that is worked out of (`MOVES`, `TIME_OUT`).

    Two things are not named again: what the rules read on whose findings it rests (`with_needed`), and, of a rule of
    the day, whatever makes it a day with work (`COUNTS_FOR_DAY`). It may name a kind that seldom changes anything.
    """
    reach: frozenset[Reach]
    limits: tuple[str, ...]
    """The values of the plan that it goes by."""
    source: str
    """Where it comes from, as far as no value of the plan says so."""
    critical: Critical
    verification: bool
    sets_aside: frozenset[str]
    """Of which kinds of subjects its findings set aside the food."""
    food: FoodOf
    """Which food its findings are about."""
    aside_when: Critical
    """When they do: as a rule whatever the verdict."""
    dispositions: Dispositions
    """What may become of the food, by verdict; a plan may say otherwise."""
    by_subject: Mapping[str, tuple[str, ...]]
    """What may become of the food, by kind of subject, where that decides and not the verdict."""
    already_out: bool
    """Whether the food may be found to be sold, served or given away before it was seen."""
    may_stand: MayStand | None
    """A quick look at entries: False where the rule can have found nothing. None where no quick look tells."""
    report: Callable[["Judged", Any], None] = field(repr=False)

    @property
    def says(self) -> str:
        """What it says, in one paragraph."""
        return " ".join((self.report.__doc__ or "").split())

    @property
    def is_about_food(self) -> bool:
        """Whether it finds something of food: of a load, spit, tray, batch or reheat."""
        return not _FOOD_SUBJECTS.isdisjoint(self.subjects)

    def concern(self, verdict: Verdict) -> Concern:
        """What its finding is about, which decides who must answer it. What sets food aside is critical besides."""
        if self.verification:
            return Concern.VERIFICATION
        return Concern.CRITICAL_LIMIT if _holds(self.critical, verdict) else Concern.MONITORING

    def can_set_aside(self, verdict: Verdict, kind: str) -> bool:
        """Whether its finding about a subject of this kind sets food aside, where the plan has that in force."""
        return kind in self.sets_aside and _holds(self.aside_when, verdict)

    def dispositions_for(self, verdict: Verdict, kind: str) -> tuple[str, ...]:
        """What may become of the food of a subject of this kind."""
        return self.by_subject.get(kind, self.dispositions[verdict])


def _holds(when: Critical, verdict: Verdict) -> bool:
    return when is Critical.ALWAYS or (when is Critical.NOT_MET and verdict is Verdict.NOT_MET)


_DECLARED: dict[str, Rule] = {}
RULES: Mapping[str, Rule] = MappingProxyType(_DECLARED)
"""Every rule by name, in the order of declaration."""

_Report = Callable[["Judged", Any], None]


def rule(
    name: str,
    *,
    group: str | None,
    each: Each,
    subjects: Iterable[str],
    reads: Iterable[type[Entry]],
    reach: Iterable[Reach],
    limits: Iterable[str] = (),
    source: str = "",
    critical: Critical = Critical.NEVER,
    verification: bool = False,
    sets_aside: Iterable[str] = (),
    food: FoodOf = what_is_there,
    aside_when: Critical = Critical.ALWAYS,
    not_met: tuple[str, ...] = (),
    not_shown: tuple[str, ...] | None = None,
    by_subject: Mapping[str, tuple[str, ...]] | None = None,
    already_out: Literal[True] | None = None,
    may_stand: MayStand | None = None,
) -> Callable[[_Report], _Report]:
    """Declare a rule on the function that reports it, whose docstring is what `docs/rules.md` says of it.

    `not_met` are the dispositions of a finding that is not met; `not_shown` of one not shown, where they differ. What
    sets food aside may always be `already_out`; another rule says so.
    """
    kinds = frozenset(sets_aside)

    def declare(report: _Report) -> _Report:
        if name in _DECLARED:
            raise ValueError(f"{name} is declared twice")
        dispositions = {Verdict.NOT_MET: not_met, Verdict.NOT_SHOWN: not_met if not_shown is None else not_shown}
        _DECLARED[name] = Rule(
            name=name,
            group=group,
            each=each,
            subjects=tuple(subjects),
            reads=frozenset(reads),
            reach=frozenset(reach),
            limits=tuple(limits),
            source=source,
            critical=critical,
            verification=verification,
            sets_aside=kinds,
            food=food,
            aside_when=aside_when,
            dispositions=MappingProxyType(dispositions),
            by_subject=MappingProxyType(dict(by_subject or {})),
            already_out=bool(kinds or already_out),
            may_stand=may_stand,
            report=report,
        )
        return report

    return declare


@cache
def rules_of(each: Each) -> tuple[Rule, ...]:
    """Give the rules that are asked once for each of something."""
    return tuple(one for one in RULES.values() if one.each is each)


@cache
def with_needed(names: frozenset[str]) -> frozenset[str]:
    """Add the rules on whose findings some rest: what left food aside, on what sets aside; orders, on all of food."""
    each = {RULES[name].each for name in names}
    if Each.ORDERS in each:
        return names | {rule.name for rule in RULES.values() if rule.is_about_food or rule.sets_aside}
    return names | {rule.name for rule in RULES.values() if rule.sets_aside} if Each.ASIDE in each else names


@once_a_kind
def reaches_of(kind: type[Entry]) -> frozenset[Reach]:
    """Give how far an entry of a kind can reach: by all the rules that read it, and as work of its day."""
    of_day = {DAY} if kind.COUNTS_FOR_DAY else set()
    return frozenset(of_day).union(*(one.reach for one in RULES.values() if kind in one.reads))


@cache
def reaches() -> tuple[Reach, ...]:
    """Give every way in which an entry reaches, by name."""
    return tuple(sorted({reach for one in RULES.values() for reach in one.reach}, key=lambda reach: reach.name))


@cache
def lines() -> tuple[Line, ...]:
    """Give the reaches that go along what is written about one thing."""
    return tuple(reach for reach in reaches() if isinstance(reach, Line))


@cache
def longest_after() -> timedelta:
    """Give how long after an entry a finding that it opens may begin, at the longest."""
    return max(reach.after for reach in reaches())


_FOOD_SUBJECTS = frozenset(("load", "spit", "tray", "batch", "reheat"))


@cache
def openers_without_food() -> frozenset[type[Entry]]:
    """Give the kinds without food that findings about something else than food rest on: a delivery, a unit's check."""
    beyond = (one for one in RULES.values() if not _FOOD_SUBJECTS.issuperset(one.subjects))
    return frozenset(kind for one in beyond for kind in one.reads if not names_food(kind))
