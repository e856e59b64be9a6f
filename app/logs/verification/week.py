"""The week as whoever verifies it reads it: days, readings, missed checks, food set aside, probes, units, people."""

from dataclasses import dataclass
from datetime import date

from app import words
from app.rules.figures.week import Week, WeekSigned
from app.words.marking import gettext as _
from app.words.marking import ngettext

from ..heading import paper_size, place_words
from ..lines import Logbook
from .days import day_listing, missed_listing, pattern_listing
from .food import aside_listing, sent_back_listing
from .listing import Listing
from .people import observed_listing, training_listing
from .probes import probe_listing
from .units import unit_listing


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
            day_listing(week),
            missed_listing(week),
            pattern_listing(week),
            aside_listing(week, books),
            sent_back_listing(week),
            probe_listing(week),
            unit_listing(week),
            observed_listing(week),
            training_listing(week),
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
