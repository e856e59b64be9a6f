"""A day: what its records mean, what is wrong, what is owed, and whether it can be signed."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from operator import attrgetter

from app.kinds import (
    Entry,
    InChargeFrom,
    PersonSet,
    Receiving,
    RegisterEntry,
    Subject,
    UnitCheck,
)
from app.kinds.naming import names_of

from ..facts import Answers, Cleared, Finding, Status, Verdict
from ..history.holders import Batch, Holder, Load, Reheat, Tray
from ..history.set_aside import Aside
from . import cleared, food_views, lateness, records, views
from .entries_shown import entries_shown
from .food_reach import Records
from .food_shown import Food
from .judge import Judged, judge
from .patterns import Written, find_patterns
from .register_calendar import is_change_between, register_calendar
from .shown import Assessment, Blocking, Late, Signed
from .signatures import Signatures
from .subjects_shown import ColdUnitView, ProbeView, TrayView


def assess(
    day: date,
    entries: Iterable[Entry],
    *,
    as_of: datetime,
    through_seq: int | None = None,
) -> Assessment:
    """Say what the records of a business day mean, from what was written up to `through_seq` and seen up to `as_of`.

    `entries` are the whole register of the site, and all versions of what touches the day (more does no harm). Knows no
    clock and no database.
    """
    register: list[RegisterEntry] = []
    known: list[Entry] = []
    for entry in entries:
        if isinstance(entry, RegisterEntry):
            register.append(entry)
        elif through_seq is None or entry.seq <= through_seq:
            known.append(entry)
    known.sort(key=attrgetter("seq"))
    context = _DayContext(day, known, register, as_of=as_of, through_seq=through_seq)
    head = max((entry.seq for entry in (*known[-1:], *register)), default=0) if through_seq is None else through_seq
    return context.assessment(head)


@dataclass(slots=True)
class _Answered:
    findings: tuple[Finding, ...]
    cleared: tuple[Cleared, ...]
    answers: Mapping[str, Answers]
    gone: tuple[Aside, ...]
    """The food of all findings that a mending made go away, of whatever day, and that nobody verified yet."""

    @property
    def all_findings(self) -> list[Finding]:
        """The day's findings, and those that a mending made go away."""
        return [*self.findings, *(item.finding for item in self.cleared)]


class _DayContext:
    """One day's assessment in the making: what was judged, which subjects are shown, and what is owed."""

    def __init__(
        self,
        day: date,
        known: Sequence[Entry],
        register: Sequence[RegisterEntry],
        *,
        as_of: datetime,
        through_seq: int | None,
    ) -> None:
        self.day, self.known, self.register, self.as_of = day, known, register, as_of
        self.through_seq = through_seq
        self.calendar = calendar = register_calendar(register, through_seq=through_seq)
        self.site = calendar.site_on(day)
        self.starts_at, self.ends_at = calendar.bounds(day)
        self.named = [names_of(entry) for entry in known]
        self.judged = self._judge(known)
        self.kitchen = self.judged.kitchen
        self.verdicts = views.Verdicts(self.judged.report.findings)
        self.shown = [h for h in self.kitchen.holders.values() if views.is_shown(h, self.starts_at, self.ends_at)]
        self.shown.sort(key=lambda holder: (holder.opened_at, holder.opener.root_seq))
        self.seen = self.kitchen.seen_between(self.starts_at, self.ends_at)
        self.in_charge = records.in_charge_among(self.seen, calendar.site)

    def _judge(self, entries: Sequence[Entry], *, only: frozenset[str] | None = None) -> Judged:
        return judge(entries, calendar=self.calendar, as_of=self.as_of, day=self.day, only=only)

    def _findings(self, entries: Sequence[Entry], only: frozenset[str]) -> dict[str, Finding]:
        return {finding.key: finding for finding in self._judge(entries, only=only).report.findings}

    def assessment(self, head: int) -> Assessment:
        """Put the day together."""
        answered = self._answer()
        written = lateness.lateness_of(self.kitchen, self.seen, self.judged.late)
        asides = food_views.set_aside_views(self.judged, answered.gone)
        blocking = self._blocking(answered)
        shown_entries = self._shown_entries(answered)
        return Assessment(
            site=self.site,
            day=self.day,
            starts_at=self.starts_at,
            ends_at=self.ends_at,
            as_of=self.as_of,
            through_seq=head,
            plan=self.calendar.plan_at(self.starts_at),
            plans=self.calendar.plans_on(self.day, self.as_of),
            entries=shown_entries,
            superseded_by={e.amends: e.id for e in shown_entries if e.amends is not None},
            loads=tuple(views.load_view(self.judged, load, asides) for load in self._loads()),
            trays=tuple(self._tray(holder, asides) for holder in self.shown if isinstance(holder, Tray)),
            batches=tuple(views.batch_view(self.judged, h, asides) for h in self.shown if isinstance(h, Batch)),
            reheats=tuple(
                views.reheat_view(self.judged, h, self.verdicts, asides) for h in self.shown if isinstance(h, Reheat)
            ),
            probes=tuple(self._probes()),
            cold_units=tuple(self._cold_units()),
            receiving=tuple(views.receiving_view(self.judged, entry) for entry in self._deliveries()),
            findings=answered.findings,
            cleared=answered.cleared,
            answers=answered.answers,
            food=self._food(answered),
            birds=views.count_birds(self.judged, self.starts_at, self.ends_at),
            ready_to_sign=not blocking,
            blocking=blocking,
            signings=self._signings(answered),
            carried_in=self._held(lambda holder: holder.birds_at(self.starts_at)),
            carried_out=self._held(self._birds_at_end),
            patterns=find_patterns(self.kitchen, written.readings, self._written(written.late)),
            late=Late(readings=len(written.readings), late=len(written.late)),
            in_charge=self._who_is_in_charge(),
            doubts=self.judged.aside.doubts,
            set_up=tuple(
                one
                for one in self.register
                if is_change_between(one, self.starts_at, self.ends_at) and one.seq <= (self.through_seq or one.seq)
            ),
            roles_since=self._roles_since(),
        )

    def _tray(self, tray: Tray, asides: views.Asides) -> TrayView:
        return views.tray_view(self.judged, tray, self.verdicts, asides)

    def _food(self, answered: _Answered) -> dict[str, Food]:
        """Follow the food of the day's findings, and of those that a mending made go away."""
        aside, findings = self.judged.aside, [item.finding for item in answered.cleared]
        followed = [aside.by_key[f.key] for f in answered.findings if f.sets_aside]
        followed += [aside.doubts.follow(f, self.judged.book.releases(f)) for f in findings if f.sets_aside]
        return {one.finding.key: food_views.food_of(one, self.judged, ends_at=self.ends_at) for one in followed}

    def _roles_since(self) -> datetime | None:
        """Give when an upgrade wrote down the roles that are taken for this day, where that was later."""
        written = [one.recorded_at for one in self.register if one.source and isinstance(one, PersonSet)]
        return max(written) if written and max(written) >= self.ends_at else None

    def _in_day(self, entry: Entry) -> bool:
        return self.starts_at <= entry.observed_at < self.ends_at

    def _loads(self) -> list[Load]:
        spits = {holder.subject.name for holder in self.shown if holder.subject.kind == "spit"}
        loads = [ld for ld in self.kitchen.loads.values() if ld.name in spits or self._in_day(ld.opener)]
        return sorted(loads, key=lambda load: (load.opener.observed_at, load.opener.root_seq))

    def _probes(self) -> Iterable[ProbeView]:
        for code in dict.fromkeys(probe for entry in self.seen if (probe := getattr(entry, "probe", None))):
            yield views.probe_view(self.judged.probe_records[code], until=self.ends_at)

    def _cold_units(self) -> Iterable[ColdUnitView]:
        plan = self.calendar.plan_at(self.starts_at)
        for unit in self.site.equipment.values():
            since = unit.since is None or unit.since < self.ends_at
            if unit.kind == "cold_unit" and since and (unit.retired_at is None or unit.retired_at > self.starts_at):
                yield views.cold_unit_view(self.judged, unit.code, self._checks(unit.code), self.day, plan)

    def _deliveries(self) -> Iterable[Receiving]:
        return (entry for entry in self.kitchen.of_kind(Receiving) if self._in_day(entry))

    def _checks(self, code: str) -> list[UnitCheck]:
        checks = self.kitchen.of_kind(UnitCheck)
        return [entry for entry in checks if entry.unit_code == code and self._in_day(entry)]

    def _held(self, birds: Callable[[Holder], Decimal]) -> dict[Subject, Decimal]:
        return {holder.subject: held for holder in self.shown if (held := birds(holder)) > 0}

    def _birds_at_end(self, holder: Holder) -> Decimal:
        return holder.birds_left if self.as_of < self.ends_at else holder.birds_at(self.ends_at)

    def _written(self, entries: Sequence[Entry]) -> list[Written]:
        """Give entries with the moment at which each was first written."""
        roots = {entry.root_seq for entry in entries}
        if not roots:
            return []
        first = {e.root_seq: e.recorded_at for e in self.known if e.seq == e.root_seq and e.seq in roots}
        return [Written(entry, first[entry.root_seq]) for entry in entries if entry.root_seq in first]

    def _who_is_in_charge(self) -> str | None:
        taken = [entry for entry in self.kitchen.of_kind(InChargeFrom) if self._in_day(entry)]
        return taken[-1].person if taken else None

    # ---- findings and what people did about them --------------------------------------------------------------

    def _answer(self) -> _Answered:
        own = sorted(
            (f for f in self.judged.report.findings if f.day == self.day), key=lambda f: (f.onset_at, f.rule, f.key)
        )
        now = {finding.key: finding for finding in self.judged.report.findings}
        kept = Records(self.known, self.named, self.kitchen, self.calendar)
        gone = cleared.find_cleared(kept, now, judge=self._findings)
        answers: dict[str, Answers] = {}

        def settle(finding: Finding, mending: Entry | None = None) -> Finding:
            status, answers[finding.key] = self._follow_up(finding, mending)
            return finding if status is finding.status else finding._replace(status=status)

        return _Answered(
            tuple(settle(finding) for finding in own),
            tuple(
                replace(item, finding=settle(item.finding, item.mended_by))
                for item in gone
                if item.finding.day == self.day
            ),
            answers,
            tuple(self._gone(gone)),
        )

    def _follow_up(self, finding: Finding, mending: Entry | None) -> tuple[Status, Answers]:
        """Give how far a finding is answered; of one that a mending made go away, by what was written after that."""
        given = self.judged.book.answers(finding)
        if mending is not None:
            given = [answer for answer in given if answer.seq > mending.seq]
        author = mending.person if mending is not None else None
        return records.follow_up(finding, given, author=author, others=self.in_charge)

    def _gone(self, cleared_: Iterable[Cleared]) -> Iterable[Aside]:
        """Follow the food of findings that a mending made go away, until that is verified."""
        for item in cleared_:
            if item.finding.sets_aside and self._follow_up(item.finding, item.mended_by)[0] is not Status.VERIFIED:
                yield self.judged.aside.doubts.follow(item.finding, self.judged.book.releases(item.finding))

    def _blocking(self, answered: _Answered) -> tuple[Blocking, ...]:
        owed = [
            Blocking(kind="finding", subject=f.subject, key=f.key)
            for f in answered.findings
            if not records.is_settled(f, answered.answers[f.key])
        ]
        owed += [
            Blocking(kind="cleared", subject=item.finding.subject, key=item.finding.key)
            for item in answered.cleared
            if not records.is_settled(item.finding, answered.answers[item.finding.key], cleared=True)
        ]
        owed += [Blocking(kind="running", subject=holder.subject) for holder in self.shown if self._runs(holder)]
        return tuple(owed)

    def _runs(self, holder: Holder) -> bool:
        """Whether a subject stands in the way of signing: cooking, cooling, reheating, or hot while the day runs."""
        if holder.birds_left <= 0:
            return False
        ordered = food_views.is_in_the_way(self.judged.orders, holder, day_runs=self.as_of < self.ends_at)
        if ordered is not None:
            return ordered
        if isinstance(holder, Batch):
            total = self.judged.coolings[holder.subject].total
            return total is not None and total.verdict is Verdict.PENDING
        if not isinstance(holder, Tray) or self.as_of < self.ends_at:
            return True
        view = self._tray(holder, {})
        return any(due is not None and due < self.as_of for due in (view.check_due_at, view.discard_at))

    def _shown_entries(self, answered: _Answered) -> tuple[Entry, ...]:
        rests_on = {root for finding in answered.all_findings for root in finding.entries}
        rests_on |= {e.root for a in answered.answers.values() for e in (*a.actions, *a.verifications, *a.releases)}
        subjects = [holder.subject for holder in self.shown]
        subjects += [Subject("load", load.name) for load in self._loads()]
        return entries_shown(self.judged, self.named, day=self.day, subjects=subjects, rests_on=rests_on)

    def _signings(self, answered: _Answered) -> tuple[Signed, ...]:
        signatures = Signatures(self.judged, self.register, day=self.day, through_seq=self.through_seq)
        return signatures.given(answered.all_findings)
