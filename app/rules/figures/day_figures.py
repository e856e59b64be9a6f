"""A day in figures, taken from its assessment: findings, hot-hold readings, cook times, birds thrown away.

Nothing is decided here: a finding is one that `assess` made, a reading is under the limit where `assess` held it so.
Trends are sums of these figures.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal
from typing import NamedTuple

from app.kinds import BatchOut, Entry, ReheatDone, SpitLoaded, SpitPulled, Subject, Temperature, TrayOut

from ..day.shown import Assessment
from ..day.subjects_shown import LoadView, SpitView
from ..facts import Concern, Finding, Status, Verdict
from ..history.versions import effective

MISSED_AT_AN_HOUR = ("hold.check_interval", "probe.check_due")
"""Checks that were due at a moment, or were asked for by the reading that went without."""

MISSED_IN_A_DAY = "cold.check_interval"
"""So many checks a day are wanted, at no hour: its onset is the day's end and tells nothing of when it was missed."""

CLASS_STEP = {"lb": 50, "kg": 25}
"""Classes of weight are half pounds and quarter kilograms wide: in hundredths of the unit."""


class FoundFigure(NamedTuple):
    """A finding of the day; `hour` is the kitchen's clock hour (0 to 23) in which a check was missed."""

    rule: str
    subject: Subject
    verdict: Verdict
    concerns: Concern
    key: str
    onset_at: datetime
    hour: int | None


class HeldFigure(NamedTuple):
    """A hot-hold reading: the unit its tray stood in ("" where none is recorded), and what the display showed."""

    hot_unit: str
    tray: str
    seen_at: datetime
    reading: Temperature
    is_low: bool
    entry: str
    """First-version id."""


class HoldingSum(NamedTuple):
    """The hot-hold readings of one unit on one scale: never added to those of the other. In hundredths of a degree."""

    hot_unit: str
    unit: str
    """F or C."""
    readings: int
    total: int
    lowest: int
    low: int
    """How many were under the limit."""


class CookFigure(NamedTuple):
    """A spit of raw birds whose last bird was pulled this day."""

    load: str
    spit: int
    birds: int
    minutes: int
    """From the load's start to the spit's last pull, begun minutes left out."""
    pulled_at: datetime
    weight: int | None
    """Mean weight of a bird in hundredths of `weight_unit`, as recorded; None where it was not, or on two scales."""
    weight_unit: str | None


class CookingSum(NamedTuple):
    """The spits of one class of weight: `weight_from` is where it begins, in hundredths of `weight_unit`."""

    weight_unit: str
    """lb or kg; "" for spits whose birds were not weighed."""
    weight_from: int
    birds: int
    minutes: tuple[int, ...]
    """Of each spit, from the load's start to the last pull."""


class DiscardFigure(NamedTuple):
    """Birds thrown away out of a spit, tray, batch or reheat, in quarters; `reason` is "" where none was given."""

    source: Subject
    reason: str
    quarters: int
    seen_at: datetime
    entry: str
    """First-version id."""


class Standing(NamedTuple):
    """How a day stands: whether it is signed, and what is owed."""

    state: str
    """signed, changed (since it was signed), running, not_signed, or no_entries."""
    signed_by: str = ""
    worst: Verdict = Verdict.MET
    to_act: int = 0
    to_review: int = 0
    set_aside: int = 0
    """How many of its findings set food aside."""


NO_ENTRIES = Standing("no_entries")


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFigures:
    """One business day in figures. `held` and `cooked` are the single readings and spits of the sums before them."""

    day: date
    standing: Standing = NO_ENTRIES
    found: tuple[FoundFigure, ...] = ()
    discarded: tuple[DiscardFigure, ...] = ()
    holding: tuple[HoldingSum, ...] = ()
    cooking: tuple[CookingSum, ...] = ()
    held: tuple[HeldFigure, ...] = ()
    cooked: tuple[CookFigure, ...] = ()


def figures(assessment: Assessment) -> DayFigures:
    """Give the figures of a day that was assessed."""
    held = tuple(sorted(_held(assessment), key=lambda one: (one.seen_at, one.entry)))
    cooked = tuple(sorted(_cooked(assessment), key=lambda one: (one.pulled_at, one.load, one.spit)))
    return DayFigures(
        day=assessment.day,
        standing=standing(assessment),
        found=tuple(_found(finding, assessment) for finding in assessment.findings),
        discarded=tuple(_discarded(assessment)),
        holding=_add_up_held(held),
        cooking=_add_up_cooked(cooked),
        held=held,
        cooked=cooked,
    )


def standing(assessment: Assessment) -> Standing:
    """Say how a day that was assessed stands."""
    findings = [*assessment.findings, *(one.finding for one in assessment.cleared)]
    blocking = {one.key for one in assessment.blocking if one.key}
    owed = [finding for finding in findings if finding.key in blocking]
    to_review = sum(finding.status is Status.ACTED for finding in owed)
    verdicts = {finding.verdict for finding in assessment.findings}
    return Standing(
        state=_state(assessment),
        signed_by=assessment.signed.signer_name if assessment.signed else "",
        worst=next((one for one in (Verdict.NOT_MET, Verdict.NOT_SHOWN) if one in verdicts), Verdict.MET),
        to_act=len(owed) - to_review,
        to_review=to_review,
        set_aside=len(assessment.food),
    )


def _state(assessment: Assessment) -> str:
    if assessment.signed is not None:
        return "changed" if assessment.signed.stale else "signed"
    if assessment.running:
        return "running"
    return "not_signed" if assessment.entries else "no_entries"


def weight_class(cooked: CookFigure) -> tuple[str, int]:
    """Give the class of weight of a spit: its unit, and where the class begins in hundredths of it."""
    if cooked.weight is None or cooked.weight_unit is None:
        return "", 0
    step = CLASS_STEP[cooked.weight_unit]
    return cooked.weight_unit, cooked.weight // step * step


def _add_up_held(held: Iterable[HeldFigure]) -> tuple[HoldingSum, ...]:
    by_scale: dict[tuple[str, str], list[HeldFigure]] = {}
    for one in held:
        by_scale.setdefault((one.hot_unit, one.reading.unit), []).append(one)
    sums = []
    for (hot_unit, unit), ones in sorted(by_scale.items()):
        values = [int(one.reading.value * 100) for one in ones]
        low = sum(one.is_low for one in ones)
        sums.append(HoldingSum(hot_unit, unit, len(ones), sum(values), min(values), low))
    return tuple(sums)


def _add_up_cooked(cooked: Iterable[CookFigure]) -> tuple[CookingSum, ...]:
    by_class: dict[tuple[str, int], list[CookFigure]] = {}
    for one in cooked:
        by_class.setdefault(weight_class(one), []).append(one)
    return tuple(
        CookingSum(*of_class, sum(one.birds for one in ones), tuple(one.minutes for one in ones))
        for of_class, ones in sorted(by_class.items())
    )


def _found(finding: Finding, assessment: Assessment) -> FoundFigure:
    at_an_hour = finding.rule in MISSED_AT_AN_HOUR
    hour = finding.onset_at.astimezone(assessment.site.timezone).hour if at_an_hour else None
    about = (finding.rule, finding.subject, finding.verdict, finding.concerns)
    return FoundFigure(*about, finding.key, finding.onset_at, hour)


def _held(assessment: Assessment) -> Iterator[HeldFigure]:
    for tray in assessment.trays:
        for one in tray.held:
            seen_at = one.entry.observed_at
            if assessment.starts_at <= seen_at < assessment.ends_at:
                yield HeldFigure(one.hot_unit or "", tray.tray, seen_at, one.entry.reading, one.is_low, one.entry.root)


def _cooked(assessment: Assessment) -> Iterator[CookFigure]:
    for load in assessment.loads:
        for spit in load.spits:
            if _was_cooked(spit, assessment):
                yield _cook_figure(load, spit)


def _was_cooked(spit: SpitView, assessment: Assessment) -> bool:
    """Whether a spit of raw birds was pulled whole in the day; birds that went back to the oven began hot."""
    raw = all(isinstance(entry, SpitLoaded) for entry in spit.loadings)
    pulled = spit.birds_on == 0 and spit.pulled_at is not None
    return raw and pulled and assessment.starts_at <= (spit.pulled_at or assessment.ends_at) < assessment.ends_at


def _cook_figure(load: LoadView, spit: SpitView) -> CookFigure:
    pulled_at = spit.pulled_at or load.started_at
    minutes = max(int((pulled_at - load.started_at).total_seconds() // 60), 0)
    return CookFigure(load.load, spit.spit, spit.birds, minutes, pulled_at, *_mean_weight(spit.loadings))


def _mean_weight(loadings: Iterable[SpitLoaded | TrayOut]) -> tuple[int | None, str | None]:
    """Give the mean weight of a bird over all that was loaded, in hundredths, where all of it was weighed alike."""
    loaded = [entry for entry in loadings if isinstance(entry, SpitLoaded)]
    weighed = [(entry.mean_weight, entry.birds) for entry in loaded if entry.mean_weight is not None]
    units = {weight.unit for weight, _birds in weighed}
    if len(units) != 1 or len(weighed) != len(loaded):
        return None, None
    total = sum((weight.value * birds for weight, birds in weighed), Decimal(0))
    mean = total * 100 / sum(birds for _weight, birds in weighed)
    return int(mean.quantize(Decimal(1), ROUND_HALF_UP)), units.pop()


def _discarded(assessment: Assessment) -> Iterator[DiscardFigure]:
    for entry in effective(assessment.entries, as_of=assessment.as_of):
        thrown = _thrown_away(entry)
        if thrown is not None and assessment.starts_at <= entry.observed_at < assessment.ends_at:
            source, birds, reason = thrown
            yield DiscardFigure(source, reason, int(birds * 4), entry.observed_at, entry.root)


def _thrown_away(entry: Entry) -> tuple[Subject, Decimal, str] | None:
    """Give from where birds were thrown away, how many, and the reason ("" where none was given); None for none."""
    match entry:
        case SpitPulled() if entry.discarded_birds:
            return entry.spit_subject, Decimal(len(entry.discarded_birds)), ""
        case ReheatDone() if entry.discarded:
            return Subject("reheat", entry.reheat), entry.discarded, ""
        case TrayOut(to="discarded"):
            return Subject("tray", entry.tray), entry.birds, entry.reason or ""
        case BatchOut(to="discarded"):
            return Subject("batch", entry.batch), entry.birds, ""
    return None
