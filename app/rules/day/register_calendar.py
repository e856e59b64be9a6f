"""What the register says of a moment or a day: time zone, business day, plan, people, equipment. Made from its entries.

The first `site_set` and `plan_adopted` hold for all time before and however little of the ledger is looked at, and so
does what an upgrade wrote down of an older database; everything else holds from when it was recorded.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from itertools import count, takewhile
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from app.kinds import ClockSet, EquipmentSet, PersonSet, PlanAdopted, RegisterEntry, SiteSet

from ..facts import Equipment, Person, Site, Timeline
from ..plans import plan
from ..plans.adopted_values import Adopted, Attachment, as_text
from ..plans.settings import SETTINGS

_ONE_DAY = timedelta(days=1)
_NOON = time(12)
_HOURS = 24
"""Of the clock of a kitchen that did not say by which one it reads."""
_Set = TypeVar("_Set", bound=RegisterEntry)


def register_calendar(entries: Iterable[RegisterEntry], *, through_seq: int | None = None) -> "RegisterCalendar":
    """Give the calendar of a site's register, as far as it was known at an entry. Raises ValueError without a plan."""
    return _calendar(tuple(_known(entries, through_seq)))


def _known(entries: Iterable[RegisterEntry], through_seq: int | None) -> Iterable[RegisterEntry]:
    """Give the entries that were known at an entry, by seq, and those that hold in any case."""
    first: set[type[RegisterEntry]] = set()
    for entry in sorted(entries, key=lambda entry: entry.seq):
        is_first = isinstance(entry, SiteSet | PlanAdopted) and type(entry) not in first
        first.add(type(entry))
        if is_first or entry.source or through_seq is None or entry.seq <= through_seq:
            yield entry


@lru_cache(maxsize=256)
def _calendar(entries: tuple[RegisterEntry, ...]) -> "RegisterCalendar":
    return RegisterCalendar(entries)


class RegisterCalendar:
    """Business days, plans and set-up of one site, with what was asked at hand. `entries` are in order of seq."""

    def __init__(self, entries: Sequence[RegisterEntry]) -> None:
        entries = _put_back(entries)
        self._sites = _of(entries, SiteSet)
        self.plans: tuple[Adopted, ...] = tuple(_adopted(entry) for entry in _of(entries, PlanAdopted))
        if not self._sites or not self.plans:
            raise ValueError("the register of a site begins with site_set and has a plan_adopted")
        self._zones = [(entry.holds_at, ZoneInfo(entry.timezone)) for entry in self._sites]
        self.site: Site = _site(entries, self._sites)
        """The kitchen as it is set up now."""
        self._starts: dict[date, datetime] = {}
        self._day: tuple[datetime, datetime, date] | None = None
        self._plan: tuple[datetime, datetime, plan.Plan] | None = None
        self._plans: dict[tuple[int, date], plan.Plan] = {}

    # ---- days -------------------------------------------------------------------------------------------------

    def zone_of(self, day: date) -> ZoneInfo:
        """Give the time zone that holds at a day's noon."""
        later = (zone for since, zone in reversed(self._zones[1:]) if since <= datetime.combine(day, _NOON, zone))
        return next(later, self._zones[0][1])

    def start_of(self, day: date) -> datetime:
        """Give the UTC instant at which a business day starts, by the plan in force at that day's midnight."""
        start = self._starts.get(day)
        if start is None:
            zone = self.zone_of(day)
            midnight = datetime.combine(day, time(), zone).astimezone(UTC)
            starts = plan.resolve(plan.in_force(self.plans, midnight), day).limits.day_starts
            start = self._starts[day] = datetime.combine(day, starts, zone).astimezone(UTC)
        return start

    def bounds(self, day: date) -> tuple[datetime, datetime]:
        """Give [start, next start) of a business day in UTC; 23 or 25 hours apart where the clocks change."""
        start = self.start_of(day)
        return start, max(start, self.start_of(day + _ONE_DAY))

    def day_of(self, at: datetime) -> date:
        """Give the business day of a moment."""
        known = self._day
        if known is None or not known[0] <= at < known[1]:
            day = at.date() + _ONE_DAY  # no zone is more than a day ahead
            while self.start_of(day) > at:
                day -= _ONE_DAY
            known = self._day = (*self.bounds(day), day)
        return known[2]

    # ---- plans ------------------------------------------------------------------------------------------------

    def plan_at(self, at: datetime) -> plan.Plan:
        """Give the plan in force at a moment."""
        known = self._plan
        if known is None or not known[0] <= at < known[1]:
            known = self._plan = self._plan_around(at)
        return known[2]

    def _plan_around(self, at: datetime) -> tuple[datetime, datetime, plan.Plan]:
        """Give the plan in force at a moment, and the part of its business day [from, to) in which it is."""
        since, until = self.bounds(self.day_of(at))
        adopted = [one.adopted_at for one in self.plans]
        since = max([since, *(one for one in adopted if one <= at)])
        until = min([until, *(one for one in adopted if one > at)])
        return since, until, self._resolved(plan.in_force(self.plans, at), self.day_of(at))

    def _resolved(self, adopted: Adopted, day: date) -> plan.Plan:
        found = self._plans.get((adopted.version, day))
        if found is None:
            found = self._plans[adopted.version, day] = plan.resolve(adopted, day)
        return found

    def plan_of(self, day: date) -> plan.Plan:
        """Give the plan in force at the start of a business day."""
        return self.plan_at(self.start_of(day))

    def plans_on(self, day: date, as_of: datetime) -> tuple[plan.Plan, ...]:
        """Give each version in force at some moment of a business day, up to `as_of`, in their order."""
        start, end = self.bounds(day)
        adopted = (one.adopted_at for one in self.plans)
        moments = [start, *(at for at in adopted if start < at < end and at <= as_of)]
        return tuple(dict.fromkeys(self.plan_at(at) for at in moments))

    # ---- people and equipment ---------------------------------------------------------------------------------

    def site_on(self, day: date) -> Site:
        """Give the kitchen as it was set up on a day: its name, place and permit at noon, people's names at its end."""
        zone, ends_at = self.zone_of(day), self.bounds(day)[1]
        noon = datetime.combine(day, _NOON, zone)
        of_day = next((one for one in reversed(self._sites) if one.holds_at <= noon), self._sites[0])
        people = {login: persons.at(ends_at) for login, persons in self.site.persons.items()}
        return replace(
            self.site,
            name=of_day.name,
            timezone=zone,
            altitude_m=self.site.altitude_at(noon),
            people=people,
            address=of_day.address,
            permit=of_day.permit,
            clock=of_day.clock or _HOURS,
        )


def _put_back(entries: Sequence[RegisterEntry]) -> list[RegisterEntry]:
    """Let what was recorded by a clock that ran ahead hold no later than from when that clock was put back.

    What came after the clock was put back then holds after it, whatever the clocks said.
    """
    found, latest = [], _NEVER
    for entry in reversed(entries):
        if isinstance(entry, ClockSet):
            latest = min(latest, entry.is_)
        found.append(entry if entry.holds_at <= latest else replace(entry, holds_from=latest))
    return found[::-1]


_NEVER = datetime.max.replace(tzinfo=UTC)


def is_change_between(entry: RegisterEntry, start: datetime, end: datetime) -> bool:
    """Whether the register changed from `start` on and before `end`, or the clock of these records was put back.

    What an upgrade wrote down of an older database is no change.
    """
    if isinstance(entry, ClockSet):
        return entry.is_ < end and start <= entry.was
    return not entry.source and start <= entry.observed_at < end


def _of(entries: Iterable[RegisterEntry], kind: type[_Set]) -> list[_Set]:
    """Give the entries of a kind in the order in which they hold."""
    return sorted((e for e in entries if isinstance(e, kind)), key=lambda entry: (entry.holds_at, entry.seq))


@lru_cache(maxsize=1024)
def _adopted(entry: PlanAdopted) -> Adopted:
    return Adopted(
        version=entry.version,
        code=entry.code,
        settings=tuple(sorted(entry.settings.items())),
        adopted_by=entry.person,
        adopted_at=entry.holds_at,
        variance=next(iter(entry.variance.values())) if entry.variance else None,
        loosened=tuple(name for name in SETTINGS if name in (entry.variance or ())),
        authority=entry.authority,
        values=as_text(entry.values),
        items=tuple(sorted((entry.items or {}).items())),
        texts=tuple(sorted((entry.texts or {}).items())),
        attachments=tuple(Attachment.of(digest, file) for digest, file in sorted((entry.attachments or {}).items())),
    )


def _site(entries: Sequence[RegisterEntry], sites: Sequence[SiteSet]) -> Site:
    newest, people, items = sites[-1], _of(entries, PersonSet), _of(entries, EquipmentSet)
    persons = {login: _timeline(sets, _person(sets)) for login, sets in _grouped(people, "login").items()}
    from_the_beginning = _listed_before_the_kitchens_entries(entries)
    listed = _grouped(items, "code")
    return Site(
        code=newest.site,
        name=newest.name,
        timezone=ZoneInfo(newest.timezone),
        altitude_m=newest.altitude_m,
        address=newest.address,
        permit=newest.permit,
        clock=newest.clock or _HOURS,
        unit=newest.unit,
        own_checks={item: said for entry in _of(entries, PlanAdopted) for item, said in (entry.items or {}).items()},
        people={login: persons[login].values[-1] for login in persons},
        equipment={code: _equipment(sets, from_the_beginning) for code, sets in listed.items()},
        altitudes=_timeline(sites, [entry.altitude_m for entry in sites]),
        scales={code: _timeline(sets, [entry.scale for entry in sets]) for code, sets in listed.items()},
        persons=persons,
        clocks=tuple((entry.seq, entry.is_) for entry in entries if isinstance(entry, ClockSet)),
    )


def _grouped(entries: Iterable[_Set], name: str) -> dict[str, list[_Set]]:
    """Group entries by who or what they are about, in the order of first mention."""
    found: dict[str, list[_Set]] = {}
    for entry in sorted(entries, key=lambda entry: entry.seq):
        found.setdefault(getattr(entry, name), [])
    for entry in entries:
        found[getattr(entry, name)].append(entry)
    return found


def _timeline(entries: Sequence[RegisterEntry], values: Sequence[Any]) -> Timeline[Any]:
    return Timeline(tuple((entry.holds_at, entry.seq) for entry in entries), tuple(values))


def _person(sets: Sequence[PersonSet]) -> list[Person]:
    return [
        Person(entry.login, entry.name, entry.role, None, entry.holds_at if entry.retired else None, entry.certificate)
        for entry in sets
    ]


def _equipment(sets: Sequence[EquipmentSet], from_the_beginning: set[int]) -> Equipment:
    first, last = sets[0], sets[-1]
    is_old = first.seq in from_the_beginning or first.holds_at == BEFORE_ALL
    retired_at = next((entry.holds_at for entry in sets if entry.retired), None) if last.retired else None
    return Equipment(last.code, last.type, last.scale, None if is_old else first.holds_at, retired_at)


BEFORE_ALL = datetime(1970, 1, 1, tzinfo=UTC)
"""What an upgrade writes for what was there before all entries."""


def _listed_before_the_kitchens_entries(entries: Sequence[RegisterEntry]) -> set[int]:
    """Give the seqs of what was set up before the first entry of the kitchen: until then there is no hole in them."""
    if not entries or entries[0].source:
        return set()
    numbered = zip(count(entries[0].seq), entries, strict=False)
    return {number for number, _entry in takewhile(lambda pair: pair[0] == pair[1].seq, numbered)}
