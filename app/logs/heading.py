"""The head of the log: which kitchen, which day, and how the day stands."""

from dataclasses import dataclass

from babel.core import get_global

from app import words
from app.kinds import InChargeFrom, of_kind
from app.rules.facts import Site
from app.words.marking import gettext as _

from .lines import Logbook

# Territories where Letter is the usual paper: Unicode CLDR, supplemental data, paperSize (from memory).
_LETTER = frozenset({"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What the log is about and how it stands."""

    language: str
    paper: str
    title: str
    site: str
    place: str
    """Address and number of the permit to operate, where the kitchen gave them."""
    day: str
    zone: str
    period: str
    state: str
    in_charge: str
    as_of: str
    created: str
    """The instant of the log as PDF metadata takes it."""


def heading(book: Logbook) -> Heading:
    """Write the head of a day's log."""
    assessment = book.assessment
    site, day = assessment.site, words.day_words(assessment.day)
    starts, ends = (words.local_date_time(at, site.timezone) for at in (assessment.starts_at, assessment.ends_at))
    return Heading(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("Daily log: %(site)s, %(day)s", site=site.name, day=day),
        site=f"{site.name} ({site.code})",
        place=place_words(site),
        day=day,
        zone=site.timezone.key,
        period=_("%(start)s to %(end)s", start=starts, end=ends),
        state=state_words(book),
        in_charge=book.person(assessment.in_charge) if assessment.in_charge else "",
        as_of=words.local_date_time(assessment.as_of, site.timezone),
        created=assessment.as_of.strftime("%Y-%m-%dT%H:%M:%SZ"),
    )


def paper_size(zone: str) -> str:
    """Give the paper usual where the clock runs in that time zone: `letter` or `A4`."""
    return "letter" if get_global("zone_territories").get(zone) in _LETTER else "A4"


def state_words(book: Logbook) -> str:
    """Say whether the day runs, is signed, or is not."""
    assessment, signed = book.assessment, book.assessment.signed
    if signed is not None and not signed.stale:
        return _("signed by %(name)s", name=signed.signer_name)
    if signed is not None:
        return _("signed, and changed since: asks for a new sign-off")
    if assessment.running:
        return _("day in progress, updated %(at)s", at=book.time(assessment.as_of))
    return _("not signed")


def in_charge_words(book: Logbook) -> tuple[str, ...]:
    """Give everybody who took charge on the day, from when on, each with the number of their certificate."""
    entries = of_kind(book.of_day(InChargeFrom), InChargeFrom)
    return tuple(_charge(entry, book) for entry in sorted(entries, key=lambda entry: entry.observed_at))


def _charge(entry: InChargeFrom, book: Logbook) -> str:
    said = _("%(name)s from %(at)s", name=book.person(entry.person), at=book.seen_and_written(entry))
    person = book.assessment.site.people.get(entry.person)
    if person is None or not person.certificate:
        return said
    return _("%(charge)s (certificate %(number)s)", charge=said, number=person.certificate)


def place_words(site: Site) -> str:
    """Give the address and the number of the permit, as far as the kitchen gave them."""
    permit = _("permit %(number)s", number=site.permit) if site.permit else ""
    return ", ".join(part for part in (site.address, permit) if part)
