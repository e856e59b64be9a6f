"""Page one of the log: what was wrong, where that food went, who checked, what is late, who signed, what was cooked."""

from dataclasses import dataclass
from decimal import Decimal

from app import words
from app.rules.facts import Finding, Status, Verdict
from app.words.marking import gettext as _
from app.words.marking import ngettext

from ..answers import FindingView, cleared_views, finding_numbers, finding_views
from ..balance import birds_moved, carried_words
from ..blocks import VerdictWords, verdict_words
from ..heading import in_charge_words
from ..lines import Logbook
from ..promptness import late_and_corrected, late_readings, second_looks
from ..signatures import Signature, signatures
from .drawings import LINE_WIDTH, TimeAxis
from .food import FoodRow, food_rows
from .overview import LoadRow, TrayRow, load_rows, tray_rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """A number that tells most of the day, and what it counts."""

    count: str
    what: str
    remark: str
    verdict: VerdictWords | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstPage:
    """All of page one below its heading, in the order of the paper."""

    tallies: tuple[Tally, ...]
    findings: tuple[FindingView, ...]
    cleared: tuple[FindingView, ...]
    food: tuple[FoodRow, ...]
    in_charge: tuple[str, ...]
    promptness: tuple[tuple[str, str], ...]
    second_looks: tuple[str, ...]
    owed: tuple[str, ...]
    signatures: tuple[Signature, ...]
    loads: tuple[LoadRow, ...]
    trays: tuple[TrayRow, ...]
    hours: tuple[tuple[float, str], ...]
    """Labels of the time axis of the trays, and where each stands."""
    line_width: int
    """Length of that axis, in points."""
    birds: str
    carried_in: str
    carried_out: str
    is_over: bool


def first_page(book: Logbook) -> FirstPage:
    """Write page one of a day's log."""
    day, axis = book.assessment, TimeAxis(book.assessment)
    return FirstPage(
        tallies=_tallies(book),
        findings=finding_views(book),
        cleared=cleared_views(book),
        food=food_rows(book),
        in_charge=in_charge_words(book),
        promptness=late_and_corrected(book),
        second_looks=second_looks(book),
        owed=_owed(book),
        signatures=signatures(book),
        loads=load_rows(book),
        trays=tray_rows(book, axis),
        hours=axis.labels,
        line_width=LINE_WIDTH,
        birds=", ".join(f"{count} {what}" for what, count in birds_moved(day)),
        carried_in="; ".join(carried_words(day.carried_in)),
        carried_out="; ".join(carried_words(day.carried_out)),
        is_over=not day.running,
    )


# ---- the numbers on top ---------------------------------------------------------------------------------------------


def _tallies(book: Logbook) -> tuple[Tally, ...]:
    return (
        _of_verdict(Verdict.NOT_MET, book),
        _of_verdict(Verdict.NOT_SHOWN, book),
        _set_aside(book),
        _late(book),
        _birds(book),
    )


def _of_verdict(verdict: Verdict, book: Logbook) -> Tally:
    findings = [finding for finding in book.findings if finding.verdict is verdict]
    said = verdict_words(verdict)
    return Tally(count=str(len(findings)), what=said.word, remark=_answered(findings), verdict=said)


def _answered(findings: list[Finding]) -> str:
    if not findings:
        return ""
    still_open = sum(one.status is Status.OPEN and not one.is_signed_late for one in findings)
    if still_open:
        return _("%(count)s not answered", count=still_open)
    if all(one.status is Status.VERIFIED for one in findings):
        return _("all verified")
    return _("all answered")


def _set_aside(book: Logbook) -> Tally:
    day = book.assessment
    here = {each.holder: each.birds for food in day.food.values() for each in food.here}
    held = sum(here.values(), Decimal(0))
    released = sum(bool(food.released) for food in day.food.values())
    remark = ngettext("%(count)s release", "%(count)s releases", released, count=released) if released else ""
    return Tally(count=words.bird_count(held), what=_("birds set aside, still here"), remark=remark)


def _late(book: Logbook) -> Tally:
    return Tally(count=late_readings(book), what=_("critical readings written late"), remark="")


def _birds(book: Logbook) -> Tally:
    day = book.assessment
    left = sum(day.carried_out.values(), Decimal(0))
    remark = _("%(count)s held at the end", count=words.bird_count(left)) if left else ""
    return Tally(count=words.bird_count(day.birds.loaded), what=_("birds loaded"), remark=remark)


# ---- what is owed ---------------------------------------------------------------------------------------------------


def _owed(book: Logbook) -> tuple[str, ...]:
    day, numbers = book.assessment, finding_numbers(book)
    blocking = {one.key for one in day.blocking}
    open_ = [number for key, number in numbers.items() if key in blocking]
    running = [words.subject_words(one.subject) for one in day.blocking if one.kind == "running"]
    owed = []
    if open_:
        owed.append(_("Findings to be answered or reviewed: %(numbers)s", numbers=", ".join(open_)))
    if running:
        owed.append(_("Still running: %(subjects)s", subjects=", ".join(running)))
    return tuple(owed)
