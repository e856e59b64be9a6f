"""The daily log as one typed view: everything that stands on the paper, in words, in the order of the paper."""

from dataclasses import dataclass, replace
from decimal import Decimal

from babel.core import get_global

from app import words
from app.rules.day.shown import Assessment, Signed
from app.rules.facts import Verdict
from app.words.marking import N_, say
from app.words.marking import gettext as _

from .answers import FindingView, cleared_views, finding_views, mended_number
from .blocks import VerdictWords, carried_words, verdict_words
from .limits import PlanView, plan_facts, plan_views
from .lines import Line, Logbook
from .promptness import earlier_signatures, promptness, second_looks
from .sections import Section, sections

# Territories where Letter is the usual paper: Unicode CLDR, supplemental data, paperSize (from memory).
_LETTER = frozenset({"BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"})

_BIRDS = {
    "loaded": N_("loaded on spits"),
    "pulled": N_("pulled"),
    "served": N_("served"),
    "prepared": N_("prepared"),
    "donated": N_("donated"),
    "discarded": N_("discarded"),
    "chilled": N_("chilled"),
    "reheated": N_("reheated"),
    "returned_to_oven": N_("returned to the oven"),
    "left": N_("held"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """The block at the end: who signed what and when, or that nobody did."""

    is_signed: bool
    name: str = ""
    meaning: str = ""
    at: str = ""
    covers: str = ""
    by_maker: str = ""
    stale: str = ""
    missing: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What the log is about and how it stands."""

    language: str
    paper: str
    title: str
    site: str
    day: str
    zone: str
    period: str
    state: str
    in_charge: str
    as_of: str
    created: str
    """The instant of the log as PDF metadata takes it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LogView:
    """All that is printed."""

    heading: Heading
    counts: tuple[tuple[VerdictWords, str], ...]
    owed: tuple[str, ...]
    plans: tuple[PlanView, ...]
    """Each version of the plan that was in force on the day, in their order."""
    plan_facts: tuple[tuple[str, str], ...]
    findings: tuple[FindingView, ...]
    cleared: tuple[FindingView, ...]
    sections: tuple[Section, ...]
    withdrawn: tuple[Line, ...]
    birds: tuple[tuple[str, str], ...]
    carried_in: tuple[str, ...]
    carried_out: tuple[str, ...]
    is_over: bool
    signature: Signature
    cautions: tuple[str, ...]
    promptness: tuple[tuple[str, str], ...]
    """What was written late or corrected, with who did."""
    second_looks: tuple[str, ...]
    """What a reviewer would want to look at twice; no verdict."""
    earlier_signatures: tuple[str, ...]
    head_seq: int
    head_hash: str


def log_view(assessment: Assessment, *, head: tuple[int, str]) -> LogView:
    """Put a day's assessment on paper. `head` is the ledger's last entry that it saw: seq and hash."""
    book = Logbook(assessment)
    plans = plan_views(assessment.plans, book)
    return LogView(
        heading=_heading(assessment, book),
        counts=_counts(assessment),
        owed=_owed(assessment),
        plans=plans,
        plan_facts=plan_facts(plans),
        findings=finding_views(book),
        cleared=cleared_views(book),
        sections=sections(assessment, book),
        withdrawn=book.withdrawn(),
        birds=_birds(assessment),
        carried_in=carried_words(assessment.carried_in),
        carried_out=carried_words(assessment.carried_out),
        is_over=not assessment.running,
        signature=_signature(assessment.signed, book),
        cautions=words.cautions(),
        promptness=promptness(book),
        second_looks=second_looks(book),
        earlier_signatures=earlier_signatures(book),
        head_seq=head[0],
        head_hash=head[1],
    )


def _heading(assessment: Assessment, book: Logbook) -> Heading:
    site, day = assessment.site, words.day_words(assessment.day)
    starts, ends = (words.local_date_time(at, site.timezone) for at in (assessment.starts_at, assessment.ends_at))
    return Heading(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("Daily log: %(site)s, %(day)s", site=site.name, day=day),
        site=f"{site.name} ({site.code})",
        day=day,
        zone=site.timezone.key,
        period=_("%(start)s to %(end)s", start=starts, end=ends),
        state=_state(assessment, book),
        in_charge=book.person(assessment.in_charge) if assessment.in_charge else "",
        as_of=words.local_date_time(assessment.as_of, site.timezone),
        created=assessment.as_of.strftime("%Y-%m-%dT%H:%M:%SZ"),
    )


def paper_size(zone: str) -> str:
    """Give the paper usual where the clock runs in that time zone: `letter` or `A4`."""
    return "letter" if get_global("zone_territories").get(zone) in _LETTER else "A4"


def _state(assessment: Assessment, book: Logbook) -> str:
    signed = assessment.signed
    if signed is not None and not signed.stale:
        return _("signed by %(name)s", name=signed.signer_name)
    if signed is not None:
        return _("signed, and changed since: asks for a new sign-off")
    if assessment.running:
        return _("day in progress, as at %(at)s", at=book.time(assessment.as_of))
    return _("not signed")


def _counts(assessment: Assessment) -> tuple[tuple[VerdictWords, str], ...]:
    verdicts = [finding.verdict for finding in assessment.findings]
    return tuple(
        (verdict_words(verdict), str(verdicts.count(verdict)))
        for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN)
        if verdict in verdicts
    )


def _owed(assessment: Assessment) -> tuple[str, ...]:
    numbers = {finding.key: str(number) for number, finding in enumerate(assessment.findings, start=1)}
    numbers |= {one.finding.key: mended_number(number) for number, one in enumerate(assessment.cleared, start=1)}
    open_ = [numbers[one.key] for one in assessment.blocking if one.key in numbers]
    running = [words.subject_words(one.subject) for one in assessment.blocking if one.kind == "running"]
    owed = []
    if open_:
        owed.append(_("Findings to be answered: %(numbers)s", numbers=", ".join(open_)))
    if running:
        owed.append(_("Still running: %(subjects)s", subjects=", ".join(running)))
    return tuple(owed)


def _birds(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    # What is left on paper is what this day left, not what the kitchen holds by the time it is printed.
    birds = replace(assessment.birds, left=sum(assessment.carried_out.values(), Decimal(0)))
    return tuple((say(_BIRDS, name), words.bird_count(getattr(birds, name))) for name in _BIRDS)


def _signature(signed: Signed | None, book: Logbook) -> Signature:
    if signed is None:
        return Signature(is_signed=False, missing=_state(book.assessment, book))
    stale = _("Entries that touch this day came later: it asks for a new sign-off.") if signed.stale else ""
    return Signature(
        is_signed=True,
        name=signed.signer_name,
        meaning=words.meaning_words(signed.entry.meaning),
        at=words.local_date_time(signed.at, book.assessment.site.timezone),
        covers=_("entry no. %(seq)s, %(hash)s", seq=signed.covers_seq, hash=signed.covers_hash),
        by_maker=_("reviewed by the person who made the records") if signed.by_maker else "",
        stale=stale,
    )
