"""Reading a day: the entries that its assessment needs, found through the index and never by searching history."""

from collections.abc import Iterable
from datetime import date, datetime
from itertools import chain

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import models
from app.rules import days, movements, plan, probes
from app.rules.assess import assess
from app.rules.facts import Assessment, Entry, Site
from app.rules.plan import Adopted

from . import register, rows
from .gathering import Gathering
from .register import SiteRow

_SPAN = models.SubjectSpan


def day_entries(
    session: Session, code: str, day: date, *, as_of: datetime, through_seq: int | None = None
) -> list[Entry]:
    """Give every version of every entry that the assessment of a business day needs, by seq."""
    return _Reading(session, register.get_site_row(session, code), day, as_of, through_seq).entries()


def assess_day(
    session: Session, code: str, day: date, *, as_of: datetime, through_seq: int | None = None
) -> Assessment:
    """Assess a business day from the ledger. `through_seq` over the head is the head."""
    return assess_site_day(session, register.get_site_row(session, code), day, as_of=as_of, through_seq=through_seq)


def assess_site_day(
    session: Session, row: SiteRow, day: date, *, as_of: datetime, through_seq: int | None = None
) -> Assessment:
    """Assess a business day of the site of a row."""
    reading = _Reading(session, row, day, as_of, through_seq)
    entries = reading.entries()
    through = reading.through_seq
    return assess(day, entries, site=reading.site, plans=reading.plans, as_of=as_of, through_seq=through)


class _Reading:
    """One day's entries being gathered."""

    def __init__(self, session: Session, row: SiteRow, day: date, as_of: datetime, through_seq: int | None) -> None:
        self.session, self.row, self.day, self.as_of = session, row, day, as_of
        self.site: Site = register.site_of(session, row)
        self.plans: tuple[Adopted, ...] = register.plans_of(session, row)
        self.head, _hash = rows.head(session, row)
        self.through_seq = self.head if through_seq is None else min(through_seq, self.head)
        self.starts_at, self.ends_at = days.day_bounds(day, plans=self.plans, zone=self.site.timezone)
        self.found = Gathering(session, row.id, through_seq=self.through_seq)

    def entries(self) -> list[Entry]:
        """Gather everything, by seq."""
        of_day = self.found.seen_between(self.starts_at, self.ends_at)
        named = {f"{kind}:{name}" for entry in of_day for kind, name in movements.names_of(entry)}
        self.found.close_over(named | self._open_subjects())
        self.found.follow()
        self._gather_probes(of_day)
        self._gather_units(of_day)
        self._gather_around()
        self._gather_answers(of_day)
        return [self.found.entries[seq] for seq in sorted(self.found.entries)]

    def _open_subjects(self) -> set[str]:
        """Give what may have held birds at the day's start, or holds them at `as_of`."""
        since = min(self.starts_at, self.as_of)
        until = max(self.ends_at, self.as_of)
        held = [
            (_SPAN.shown_until.is_(None), _SPAN.opened_at <= until),
            (_SPAN.shown_until >= since, _SPAN.opened_at < self.ends_at),
        ]
        if self.as_of >= self.ends_at:
            held.append((_SPAN.shown_until > self.as_of, _SPAN.opened_at <= self.as_of))
        if self.through_seq < self.head:
            # Emptied or mended since then: how long it held birds in the ledger of then, its entries tell.
            held.append((_SPAN.opened_seq <= self.through_seq, _SPAN.last_seq > self.through_seq))
        mine = select(_SPAN.subject).where(_SPAN.site_id == self.row.id)
        return set(chain.from_iterable(self.session.scalars(mine.where(*conditions)) for conditions in held))

    # ---- probes, units, equipment -----------------------------------------------------------------------------

    def _gather_probes(self, of_day: Iterable[Entry]) -> None:
        """Gather each probe's checks since it last passed; if one failed today, what was read with it since then."""
        codes = {entry.fields["probe"] for entry in of_day if "probe" in entry.fields}
        self.found.look_back([f"check:{code}" for code in codes], self._before(), until=self._passes)
        failed = {
            entry.fields["probe"]
            for entry in of_day
            if entry.kind == "probe_check" and not entry.withdrawn and not self._passes(entry)
        }
        for code in failed:
            passed = [entry.observed_at for entry in self.found.newest.values() if self._is_pass_before(entry, code)]
            self.found.about([f"probe:{code}"], starts_at=max(passed, default=None), ends_at=self.ends_at)

    def _is_pass_before(self, entry: Entry, code: str) -> bool:
        earlier = entry.kind == "probe_check" and not entry.withdrawn and entry.observed_at < self.starts_at
        return earlier and entry.fields["probe"] == code and self._passes(entry)

    def _passes(self, check: Entry) -> bool:
        return probes.judge_check(check, site=self.site, plan=self._plan_at(check.observed_at)).passes

    def _plan_at(self, at: datetime) -> plan.Plan:
        day = days.business_day(at, plans=self.plans, zone=self.site.timezone)
        return plan.resolve(plan.in_force(self.plans, at), day)

    def _before(self) -> datetime:
        return min(self.starts_at, self.as_of)

    def _gather_units(self, of_day: Iterable[Entry]) -> None:
        """Gather the checks of today's units back to a good one and on to the next: a run may reach beyond the day."""
        units = {f"unit:{entry.fields['unit_code']}" for entry in of_day if "unit_code" in entry.fields}
        self.found.look_back(units, self._before(), until=self._is_cold)
        self.found.look_on(units, self.ends_at, self.as_of, until=self._is_cold)

    def _is_cold(self, check: Entry) -> bool:
        return self._plan_at(check.observed_at).limits.cold_holding.at_or_below(check.reading)

    def _gather_around(self) -> None:
        """Gather the deliveries of the lots loaded, and when ovens and hot units were out while they were in use."""
        entries = list(self.found.entries.values())
        lots = {f"delivery:{entry.fields['lot']}" for entry in entries if "lot" in entry.fields}
        units = {
            f"equipment:{entry.fields[name]}"
            for entry in entries
            for name in ("oven", "hot_unit")
            if name in entry.fields
        }
        self.found.about(lots)
        if units:
            first = min((entry.observed_at for entry in entries), default=self.starts_at)
            last = max((entry.observed_at for entry in entries), default=self.ends_at)
            self.found.about(units, starts_at=first, ends_at=max(last, self.ends_at))
            self.found.look_back(units, first, until=lambda _entry: True)

    def _gather_answers(self, of_day: Iterable[Entry]) -> None:
        """Gather sign-offs of the day, and answers to findings that are not about food; the others are in histories."""
        day = self.day.isoformat()
        openers = {entry.root for entry in of_day} | {
            entry.root for entry in self.found.entries.values() if entry.kind in _OPENERS
        }
        self.found.about([f"day:{day}", f"answers:{day}", *(f"answers:{root}" for root in openers)])


_OPENERS = ("unit_check", "receiving", "probe_check", "corrective_action")
"""Kinds that findings about units, deliveries and probes rest on, wherever in time they were seen."""
