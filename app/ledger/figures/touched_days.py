"""Which business days the entries written since a moment may have changed: rather one too many than one too few.

A day's findings rest on entries of other days too: on the whole life of a tray, on a probe's checks before and after,
on a cold unit's readings until it was cold again. So an entry touches its own day, that of every version of what it
mends, and every day between the first and last entry about the food that its subjects were together with.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime, timedelta

from app.db import EPOCH, Source, moment
from app.kinds import Entry, ProbeCheck, SignOff, UnitCheck, value_of
from app.kinds.naming import names_of
from app.rules.day.register_calendar import RegisterCalendar
from app.rules.facts import Site
from app.rules.meaning.storage import is_within
from app.rules.plans.plan import any_on_table
from app.rules.subjects import probes
from app.rules.subjects.runs import LOOK_AGAIN

from ..index.spans import read_spans
from ..index.subjects import HOLDERS, MOVING, mentions
from ..reading.gathering import Gathering, all_hold
from ..register import SiteRow

_ONE_DAY = timedelta(days=1)

Versions = Sequence[Entry]
Stretch = tuple[datetime, datetime]


class TouchedDays:
    """The days that are touched by the entries after `after_seq` up to `head`, as far as `until`."""

    def __init__(
        self,
        source: Source,
        row: SiteRow,
        *,
        site: Site,
        calendar: RegisterCalendar,
        after_seq: int,
        head: int,
        until: datetime,
    ) -> None:
        self.row, self.site, self.calendar, self.until = row, site, calendar, until
        self.days: set[date] = set()
        self.found = Gathering(source, row.id, through_seq=head)
        written = {entry.root_seq for entry in self.found.written_after(after_seq)}
        self.new = [self.found.versions[root_seq] for root_seq in sorted(written)]
        self._touch_own_days()
        self._touch_food()
        self._touch_what_probes_read()
        self._touch_units()
        self._touch_outages()
        self._touch_lots()
        self._touch_humidity()

    def _touch(self, first: datetime, last: datetime | None) -> None:
        """Touch the days from one moment to another (None: to the end of all)."""
        end = self.until if last is None else min(last, self.until)
        day, last_day = self.calendar.day_of(first), self.calendar.day_of(max(first, end))
        while day <= last_day:
            self.days.add(day)
            day += _ONE_DAY

    def _touch_own_days(self) -> None:
        for versions in self.new:
            for entry in versions:
                # What is looked at again half an hour later may be found wanting in the next day.
                self._touch(entry.observed_at, entry.observed_at + LOOK_AGAIN)
                if isinstance(entry, SignOff):
                    self.days.add(entry.day)

    # ---- food: loads, trays, batches and reheats, with all that they were together with -------------------------

    def _touch_food(self) -> None:
        hit = {name for versions in self.new for name in _holders(versions)} | self._put_in_doubt()
        everything = self._gather_food(hit)
        group_of = _groups(everything)
        stretches = _stretches(everything, group_of)
        ends = self._ends(group_of)
        for name in hit & set(group_of):
            group = group_of[name]
            first, last = stretches[group]
            end = ends.get(group, last)
            self._touch(first - _ONE_DAY, None if end is None else max(last, end) + _ONE_DAY)

    def _put_in_doubt(self) -> set[str]:
        """Give the food that a new entry about something else may set aside, or set aside no longer.

        That is what was read with a probe that failed, what was in an oven that was out, and loads of a lot.
        """
        read = (name for code, entries in self._new_by("probe").items() for name in self._read_with(code, entries))
        in_oven = (name for code, entries in self._new_by("code").items() for name in self._in_oven(code, entries))
        of_lots = (name for entry in self.found.about(self._lots()) for name in _names(entry))
        return {*read, *in_oven, *of_lots}

    def _read_with(self, code: str, entries: Sequence[Entry]) -> Iterable[str]:
        checks = [entry.observed_at for entry in entries if entry.kind == "probe_check"]
        if not checks:
            return ()
        seen = self._seen_since(f"check:{code}", min(checks))
        if all(all_hold(versions, self._passes) for _at, versions in seen):
            return ()
        self.found.look_back([f"check:{code}"], min(checks), until=self._passes)
        passed = [at for at, versions in self._seen_since(f"check:{code}", EPOCH) if all_hold(versions, self._passes)]
        since = _last(passed, min(checks)) or EPOCH
        read = self.found.about_between([f"probe:{code}"], since, self.until + _ONE_DAY)
        return [name for entry in read for name in _names(entry)]

    def _in_oven(self, code: str, entries: Sequence[Entry]) -> Iterable[str]:
        first, last = min(entry.observed_at for entry in entries), max(entry.observed_at for entry in entries)
        seen = self._seen_since(f"equipment:{code}", first)
        back = _next([at for at, versions in seen if all_hold(versions, _is_back)], last)
        loads = self.found.seen_between(first - _ONE_DAY, (back or self.until) + _ONE_DAY)
        return [name for entry in loads if getattr(entry, "oven", None) == code for name in _names(entry)]

    def _lots(self) -> set[str]:
        """Give the lots of which a delivery is new."""
        return {f"lot:{lot}" for lot, entries in self._new_by("lot").items() if _any_delivery(entries)}

    def _gather_food(self, names: set[str]) -> list[Versions]:
        waiting, seen = set(names), set(names)
        roots: set[int] = {versions[0].root_seq for versions in self.new}
        while waiting:
            roots |= {entry.root_seq for entry in self.found.about(waiting)}
            named = {name for root in roots for entry in self.found.versions[root] for name in _names(entry)}
            waiting = named - seen
            seen |= waiting
        return [self.found.versions[root] for root in roots]

    def _ends(self, group_of: Mapping[str, str]) -> dict[str, datetime | None]:
        """Give until when the food of each group was held, or was thought to be held; None: it is held still."""
        ends: dict[str, datetime | None] = {}

        def prolong(name: str, end: datetime | None) -> None:
            group = group_of[name]
            known = ends.get(group, end)
            ends[group] = None if known is None or end is None else max(known, end)

        for name, shown_until in self._shown_until(group_of).items():
            prolong(name, shown_until)
        for versions in self.new:
            for entry in versions:
                # Until it was written down, birds were thought to be where they were no longer, or not to be there.
                for name in _moved(entry) & set(group_of):
                    prolong(name, max(later.recorded_at for later in versions))
        return ends

    def _shown_until(self, names: Iterable[str]) -> dict[str, datetime | None]:
        spans = read_spans(self.found.connection, self.row.id, list(names))
        return {name: None if span.shown_until is None else moment(span.shown_until) for name, span in spans.items()}

    # ---- probes, units, lots: what was read is looked at again in the light of what came before and after -----------

    def _touch_what_probes_read(self) -> None:
        """A check judges the readings until the next pass; a reading is reviewed by the checks until then."""
        for code, entries in self._new_by("probe").items():
            checks = self._seen_since(f"check:{code}", min(entry.observed_at for entry in entries))
            passed = [at for at, versions in checks if all_hold(versions, self._passes)]
            for entry in entries:
                pass_at = _next(passed, entry.observed_at)
                if entry.kind == "probe_check":
                    self._touch(entry.observed_at, None if pass_at is None else pass_at + _ONE_DAY)
                else:
                    self._touch_each(at for at, _ in checks if entry.observed_at <= at <= (pass_at or at))

    def _seen_since(self, subject: str, since: datetime) -> list[tuple[datetime, Versions]]:
        """Give the entries about a subject from a moment on, with all their versions, at the moments of each."""
        self.found.about_between([subject], since, self.until + _ONE_DAY)
        roots = {
            entry.root_seq
            for entry in self.found.entries.values()
            if any(m.subject == subject for m in mentions(entry))
        }
        seen = [(entry.observed_at, self.found.versions[root]) for root in roots for entry in self.found.versions[root]]
        return sorted(seen, key=lambda item: item[0])

    def _touch_each(self, moments: Iterable[datetime]) -> None:
        for at in moments:
            self._touch(at, at)

    def _passes(self, check: Entry) -> bool:
        if not isinstance(check, ProbeCheck):
            return False
        return probes.judge_check(check, site=self.site, plan=self.calendar.plan_at(check.observed_at)).passes

    def _touch_units(self) -> None:
        """A reading of a cold unit belongs to a run that lasts from one good reading to the next."""
        for code, entries in self._new_by("unit_code").items():
            first = min(entry.observed_at for entry in entries)
            self.found.look_back([f"unit:{code}"], first, until=self._is_cold)
            checks = self._seen_since(f"unit:{code}", first)
            good = [at for at, versions in checks if all_hold(versions, self._is_cold)]
            for entry in entries:
                since = _last(good, entry.observed_at) or (checks[0][0] if checks else entry.observed_at)
                self._touch(min(since, entry.observed_at) - LOOK_AGAIN, _next(good, entry.observed_at))

    def _is_cold(self, check: Entry) -> bool:
        if not isinstance(check, UnitCheck):
            return False
        return is_within("cold_unit", self.calendar.plan_at(check.observed_at), check.reading)

    def _touch_outages(self) -> None:
        """What is out of use is out until it is back; outages of a load add up, and it may last into the next day."""
        for code, entries in self._new_by("code").items():
            seen = self._seen_since(f"equipment:{code}", min(entry.observed_at for entry in entries))
            backs = [at for at, versions in seen if all_hold(versions, _is_back)]
            for entry in entries:
                back_at = _next(backs, entry.observed_at)
                self._touch(entry.observed_at, None if back_at is None else back_at + _ONE_DAY)

    def _touch_lots(self) -> None:
        """A delivery tells whether a lot that was cooked is known, on whatever day."""
        for lot in self._lots():
            self._touch_each(at for at, _versions in self._seen_since(lot, EPOCH))

    def _touch_humidity(self) -> None:
        """Where a plan rests on a table pair, a humidity holds for loads begun before and until the next."""
        if any_on_table(self.calendar.plans):
            for entries in self._new_by("oven").values():
                for entry in entries:
                    if entry.kind == "oven_setting":
                        self._touch(entry.observed_at - _ONE_DAY, None)

    def _new_by(self, field: str) -> dict[str, list[Entry]]:
        """Give the versions of what is new by what they name in a field."""
        named: dict[str, list[Entry]] = {}
        for versions in self.new:
            for entry in versions:
                if (name := value_of(entry, field)) is not None:
                    named.setdefault(name, []).append(entry)
        return named


def _any_delivery(entries: Iterable[Entry]) -> bool:
    return any(entry.kind == "receiving" for entry in entries)


def _is_back(entry: Entry) -> bool:
    return entry.kind == "equipment_back"


def _next(moments: Sequence[datetime], after: datetime) -> datetime | None:
    """Give the first of some moments in order that is later."""
    place = bisect_right(moments, after)
    return moments[place] if place < len(moments) else None


def _last(moments: Sequence[datetime], before: datetime) -> datetime | None:
    """Give the last of some moments in order that is earlier."""
    place = bisect_left(moments, before)
    return moments[place - 1] if place else None


def _names(entry: Entry) -> set[str]:
    """Give the loads, trays, batches and reheats that an entry brings together."""
    return {f"{kind}:{name}" for kind, name in names_of(entry)}


def _holders(versions: Versions) -> set[str]:
    """Give the loads, trays, batches and reheats that an entry is about, in any version; an answer's, too."""
    return {m.subject for entry in versions for m in mentions(entry) if m.kind in HOLDERS}


def _moved(entry: Entry) -> set[str]:
    return {m.subject for m in mentions(entry) if m.kind in HOLDERS and m.role in MOVING}


def _groups(everything: Iterable[Versions]) -> dict[str, str]:
    """Give for each name the one that stands for all that were ever together with it."""
    leader: dict[str, str] = {}

    def find(name: str) -> str:
        while leader.setdefault(name, name) != name:
            leader[name] = name = leader[leader[name]]
        return name

    for versions in everything:
        names = [name for entry in versions for name in _names(entry)]
        for name in names:
            leader[find(name)] = find(names[0])
    return {name: find(name) for name in leader}


def _stretches(everything: Iterable[Versions], group_of: Mapping[str, str]) -> dict[str, Stretch]:
    """Give the first and the last moment at which anything was seen of each group."""
    stretches: dict[str, Stretch] = {}
    for versions in everything:
        for entry in versions:
            for group in {group_of[name] for name in _names(entry)}:
                first, last = stretches.get(group, (entry.observed_at, entry.observed_at))
                stretches[group] = min(first, entry.observed_at), max(last, entry.observed_at)
    return stretches
