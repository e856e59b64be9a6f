"""The week as whoever verifies it reads it: days, readings, missed checks, food set aside, probes, units, people."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from app import words
from app.rules.day.shown import Assessment, Pattern
from app.rules.facts import Finding, Verdict
from app.rules.figures.week import UnitWeek, Untrained, Week, WeekSigned
from app.words.marking import gettext as _
from app.words.marking import ngettext

from ..blocks import verdict_words
from ..heading import paper_size, place_words
from ..lines import Logbook
from ..paper.food import FoodRow, food_row
from .listing import Listing, Row, counted
from .probes import probe_listing


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekSignature:
    """One signature under a week; `remark` and `stale` may be empty."""

    name: str
    at: str
    meaning: str
    covers: str
    remark: str
    stale: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekView:
    """All that the page and the paper of a week show."""

    language: str
    paper: str
    title: str
    site: str
    place: str
    first: date
    last: date
    period: str
    state: str
    is_over: bool
    is_signed: bool
    is_stale: bool
    is_empty: bool
    tally: tuple[tuple[str, str], ...]
    """Count and what is counted."""
    chapters: tuple[Listing, ...]
    signatures: tuple[WeekSignature, ...]
    as_of: str
    created: str
    """The instant as PDF metadata takes it."""
    head: tuple[int, str]


def week_view(week: Week) -> WeekView:
    """Put a week into words."""
    books = [Logbook(day) for day in week.days]
    period = words.days_words(week.first, week.last)
    site, signed = week.site, week.signed
    return WeekView(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("Week: %(site)s, %(period)s", site=site.name, period=period),
        site=f"{site.name} ({site.code})",
        place=place_words(site),
        first=week.first,
        last=week.last,
        period=period,
        state=_state(week),
        is_over=week.is_over,
        is_signed=signed is not None and not signed.stale,
        is_stale=signed is not None and signed.stale,
        is_empty=week.is_empty,
        tally=_tally(week),
        chapters=(
            _days(week),
            _missed(week),
            _patterns(week),
            _set_aside(week, books),
            _sent_back(week),
            probe_listing(week),
            _units(week),
            _observed(week),
            _untrained(week),
        ),
        signatures=tuple(_signature(one, week) for one in week.signings),
        as_of=words.local_date_time(week.as_of, site.timezone),
        created=week.as_of.strftime("%Y-%m-%dT%H:%M:%SZ"),
        head=week.head,
    )


def _state(week: Week) -> str:
    signed = week.signed
    if signed is not None and not signed.stale:
        return _("signed by %(name)s", name=signed.entry.signer_name)
    if signed is not None:
        return _("signed, and changed since: asks for a new signature")
    return _("not signed") if week.is_over else _("not over yet")


def _tally(week: Week) -> tuple[tuple[str, str], ...]:
    worked = [day for day in week.days if day.entries]
    signed = sum(day.signed is not None and not day.signed.stale for day in worked)
    readings, late, aside = week.readings, week.late, len(week.set_aside)
    return (
        (f"{signed} / {len(worked)}", _("days signed")),
        (str(readings - late), ngettext("critical reading on time", "critical readings on time", readings - late)),
        (str(late), ngettext("written late", "written late", late)),
        (str(len(week.missed)), ngettext("missed check", "missed checks", len(week.missed))),
        (str(aside), ngettext("time food was set aside", "times food was set aside", aside)),
        (str(len(week.sent_back)), ngettext("action sent back", "actions sent back", len(week.sent_back))),
    )


# ---- the days -------------------------------------------------------------------------------------------------------


def _days(week: Week) -> Listing:
    head = (_("Day"), _("Signed"), _("Critical readings"), _("Late"), _("Not met"), _("Not shown"))
    rows = tuple(_day_row(day) for day in week.days)
    return Listing(name="days", title=_("Days"), head=head, rows=rows, nothing=_("This week has not begun."))


def _day_row(day: Assessment) -> Row:
    verdicts = [one.verdict for one in day.findings]
    counts = (str(verdicts.count(one)) for one in (Verdict.NOT_MET, Verdict.NOT_SHOWN))
    cells = (words.day_words(day.day), _day_signed(day), str(day.late.readings), str(day.late.late), *counts)
    return Row(cells=cells, day=day.day)


def _day_signed(day: Assessment) -> str:
    signed = day.signed
    if signed is None:
        return _("no entries") if not day.entries else _("in progress") if day.running else _("not signed")
    at = words.local_time(signed.at, day.site.timezone, day=day.day)
    said = _("%(name)s, %(at)s", name=signed.signer_name, at=at)
    if signed.by_maker:
        said = _("%(said)s (made records of the day)", said=said)
    return _("%(said)s; changed since", said=said) if signed.stale else said


def _missed(week: Week) -> Listing:
    rows = tuple(_finding_row(day, one) for day, one in week.missed)
    head = (_("Day"), _("Check"), _("What the records show"))
    nothing = _("The records show every check that was due.")
    return Listing(name="missed", title=_("Missed checks"), head=head, rows=rows, nothing=nothing, count=counted(rows))


def _finding_row(day: Assessment, finding: Finding, *more: str) -> Row:
    said = words.finding_words(finding, day)
    cells = (words.day_words(day.day), said.title, *(more or (said.sentence,)))
    return Row(cells=cells, verdict=verdict_words(finding.verdict), day=day.day)


def _patterns(week: Week) -> Listing:
    def row(day: Assessment, pattern: Pattern) -> Row:
        return Row(cells=(words.day_words(day.day), words.pattern_words(pattern)), day=day.day)

    rows = tuple(row(day, pattern) for day in week.days for pattern in day.patterns)
    return Listing(
        name="patterns",
        title=_("Worth a second look"),
        head=(_("Day"), _("What stands out")),
        rows=rows,
        nothing=_("Nothing stands out in how the readings were written."),
        foot=_("Pointed out by the program. It is no verdict.") if rows else "",
        count=counted(rows),
    )


# ---- food and corrective actions ------------------------------------------------------------------------------------


def _set_aside(week: Week, books: Sequence[Logbook]) -> Listing:
    of_day = {book.assessment.day: book for book in books}
    rows = []
    for day, finding, food in week.set_aside:
        told = food_row(finding, food, "", of_day[day.day])
        rows.append(_finding_row(day, finding, told.about, *_ended(told)))
    head = (_("Day"), _("Why"), _("Set aside"), _("Where it is now"), _("How it ended"))
    nothing = _("The records show no food that was set aside.")
    return Listing(
        name="aside",
        title=_("Food set aside, and how each ended"),
        head=head,
        rows=tuple(rows),
        nothing=nothing,
        count=counted(tuple(rows)),
    )


def _ended(told: FoodRow) -> tuple[str, str]:
    released = [_("released: %(by)s", by=by) for by in told.released]
    here = "; ".join(told.here) or (_("set aside no longer") if told.released else _("nothing left"))
    return here, "; ".join([*told.made_good, *told.gone, *released]) or "–"


def _sent_back(week: Week) -> Listing:
    rows = tuple(_finding_row(day, one, *_came_back(day, one)) for day, one in week.sent_back)
    head = (_("Day"), _("Finding"), _("What was missing"), _("How it stands"))
    nothing = _("No corrective action was sent back.")
    title = _("Corrective actions that were sent back")
    return Listing(name="back", title=title, head=head, rows=rows, nothing=nothing, count=counted(rows))


def _came_back(day: Assessment, finding: Finding) -> tuple[str, str]:
    given = day.answers[finding.key]
    book = Logbook(day)
    remarks = [
        _("%(by)s, %(at)s: %(remark)s", by=book.by(one), at=book.seen_and_written(one), remark=one.remark or "–")
        for one in given.verifications
        if one.outcome == "sent_back"
    ]
    return "; ".join(remarks), words.status_word("sent_back" if given.sent_back else finding.status)


# ---- units and people -----------------------------------------------------------------------------------------------


def _units(week: Week) -> Listing:
    head = (
        *(_("Unit"), _("Checks"), _("Outside the limit"), _("Not in control")),
        *(_("Tray readings"), _("Under the limit")),
    )
    return Listing(
        name="units",
        title=_("Cold and hot-holding units"),
        head=head,
        rows=tuple(_unit_row(one) for one in week.units),
        nothing=_("No cold or hot-holding unit is listed."),
        foot=_(
            "In control means that nothing unusual shows over two months. It does not mean that the limit is met: only "
            "the limit decides."
        ),
    )


def _unit_row(unit: UnitWeek) -> Row:
    name = _("%(unit)s, %(kind)s", unit=unit.code, kind=words.equipment_word(unit.kind))
    unusual = _("too few checks") if unit.unusual is None else str(unit.unusual)
    trays = (str(unit.held), str(unit.low)) if unit.kind == "hot_unit" else ("–", "–")
    return Row(cells=(name, str(unit.checks), str(unit.outside), unusual, *trays))


def _observed(week: Week) -> Listing:
    names = {login: person.name for login, person in week.site.people.items()}
    rows = tuple(
        Row(
            cells=(
                words.local_time(one.observed_at, week.site.timezone, day=week.first),
                names.get(one.whom, one.whom),
                words.watched_word(one.watched),
                words.outcome_word(one.outcome),
                one.remark or "–",
                names.get(one.person, one.person),
            )
        )
        for one in week.observed
    )
    return Listing(
        name="observed",
        title=_("Work that was watched"),
        head=(_("When"), _("Whom"), _("What"), _("Outcome"), _("Remark"), _("By")),
        rows=rows,
        nothing=_("Nobody wrote down that work was watched. One look at a probing a week shows how it is done."),
        count=counted(rows),
    )


def _untrained(week: Week) -> Listing:
    return Listing(
        name="training",
        title=_("Trainings missing or run out"),
        head=(_("Who worked this week"), _("Training")),
        rows=tuple(_untrained_row(one) for one in week.untrained),
        nothing=_("Everybody who worked this week has a training on record that holds."),
        count=str(len(week.untrained)) if week.untrained else "",
    )


def _untrained_row(one: Untrained) -> Row:
    ran_out = _("ran out on %(day)s", day=words.day_words(one.until)) if one.until else _("none on record")
    return Row(cells=(one.person.name, ran_out), verdict=verdict_words(Verdict.NOT_SHOWN))


def _signature(one: WeekSigned, week: Week) -> WeekSignature:
    entry = one.entry
    is_newest = one is week.signings[-1]
    again = _("Something in this week changed later, and it was signed again.")
    changed = _("Something in this week changed later: it asks for a new signature.")
    return WeekSignature(
        name=entry.signer_name,
        at=words.local_date_time(entry.observed_at, week.site.timezone),
        meaning=words.meaning_words(entry.meaning),
        covers=_("entry no. %(seq)s, %(hash)s", seq=entry.covers_seq, hash=entry.covers_hash),
        remark=entry.note or "",
        stale="" if not one.stale else changed if is_newest else again,
    )
