"""What a day shows of food set aside: for each holder why and its right ways, for each finding where its food is."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from app.kinds import BatchOut, CorrectiveAction, Entry, Release, Subject, TrayOut
from app.kinds.fields import Choice
from app.kinds.form import form_of, once_a_kind

from ..facts import Finding
from ..history.following import Place
from ..history.holders import Holder, Tray
from ..history.set_aside import Aside
from ..subjects import holding, time_control
from ..subjects.aside import right_ways
from .food_shown import Food, FoodGone, FoodHere, FoodMadeGood, Released, SetAsideView
from .judge import Judged
from .orders import Orders
from .shown import Assessment

INTO_TRAY = "into_tray"
"""The way out of a reheat that is no `to` of an entry: done, and kept hot."""


@once_a_kind
def _ways_out(cls: type[Entry]) -> tuple[str, ...]:
    """Give where birds may go by an entry of a kind, in the order of its form."""
    to = form_of(cls).all_fields()["to"].type
    return to.values if isinstance(to, Choice) else ()


def set_aside_views(judged: Judged, cleared: Iterable[Aside]) -> dict[Subject, SetAsideView]:
    """Show every holder that is aside now; `cleared` are findings that a mending made go away, not yet verified."""
    gone: dict[Subject, list[tuple[Aside, datetime]]] = {}
    for aside in cleared:
        for stay in aside.trail.stays:
            if stay.until is None:
                gone.setdefault(stay.holder.subject, []).append((aside, aside.since(stay)))
    holders = judged.kitchen.holders
    found = {subject: _view(judged, holder, gone.get(subject, ())) for subject, holder in holders.items()}
    return {subject: view for subject, view in found.items() if view is not None}


def _view(judged: Judged, holder: Holder, gone: Sequence[tuple[Aside, datetime]]) -> SetAsideView | None:
    here = judged.aside.now_in(holder.subject)
    if not here and not gone:
        return None
    findings = [aside.finding for aside, _stay in here]
    since = [aside.since(stay) for aside, stay in here] + [at for _aside, at in gone]
    return SetAsideView(
        since=min(since),
        findings=tuple(finding.key for finding in findings),
        cleared=tuple(aside.finding.key for aside, _at in gone),
        ways=ways_now(judged, holder, findings),
        release=bool(findings) and all(finding.may_be_released for finding in findings),
        can_be_made_good=bool(findings) and _can_be_made_good(holder, findings),
        reasons=(*findings, *(aside.finding for aside, _at in gone)),
    )


_MADE_GOOD = {"spit": "continue_cooking", "reheat": "reheat"}
"""What makes food good where it is, by what holds it."""


def _can_be_made_good(holder: Holder, findings: Sequence[Finding]) -> bool:
    by = _MADE_GOOD.get(holder.subject.kind)
    return all(by in finding.dispositions for finding in findings)


def ways_now(judged: Judged, holder: Holder, findings: Sequence[Finding]) -> tuple[str, ...]:
    """Give the ways out of a holder that are right now, in the order of the entry that records them."""
    kind = holder.subject.kind
    if kind == "spit":
        return ("discarded", "pulled")
    if kind == "reheat":
        return ("discarded",)
    known = every_way(kind)
    allowed = set(known)
    if findings and holder.plan.has("set_aside"):
        allowed &= right_ways(findings, kind)
    if isinstance(holder, Tray):
        allowed &= set(holding_ways(judged, holder))
    return judged.orders.left_of((to for to in known if to in allowed), holder)


def released_in(judged: Judged, holder: Holder) -> tuple[Released, ...]:
    """Give what was released of the food that a tray, batch or reheat holds or held, in order of time."""
    found = {
        (stay.released_by.root, aside.finding.key): Released(stay.released_by, aside.finding)
        for aside, stay in judged.aside.stays_in(holder.subject)
        if isinstance(stay.released_by, Release)
    }
    return tuple(sorted(found.values(), key=lambda one: (one.entry.observed_at, one.entry.seq)))


def every_way(kind: str) -> tuple[str, ...]:
    """Give every way out of a tray, batch or reheat: those of the entries that record them."""
    if kind == "reheat":
        return (INTO_TRAY, "discarded")
    return _ways_out(TrayOut) if kind == "tray" else (*_ways_out(BatchOut), "reheated")


def standing_orders(judged: Judged, holder: Holder) -> tuple[CorrectiveAction, ...]:
    """Give the corrective actions about what a tray, batch or reheat holds that were not carried out yet."""
    standing = judged.orders.standing_in(holder) if holder.birds_left > 0 else ()
    return tuple(dict.fromkeys(standing))


def holding_ways(judged: Judged, tray: Tray) -> tuple[str, ...]:
    """Give the ways out of a tray that its time out of temperature, or time as the control, allows now."""
    exposure = judged.exposures.trays[tray.subject]
    if exposure.by_time_from is not None:
        return time_control.ways_out(tray.plan)
    band = holding.band_at(exposure, judged.report.as_of)
    return tray.plan.bands[band].ways_out if tray.plan.has("holding") else _ways_out(TrayOut)


def food_of(aside: Aside, judged: Judged, *, ends_at: datetime) -> Food:
    """Show what of a finding's food is left where, and what went out, up to the end of a day (or to now)."""
    timeline = judged.aside.doubts.timeline
    place = timeline.place_before(ends_at) if ends_at <= judged.report.as_of else Place(len(judged.kitchen.entries))
    here = [(stay.holder, timeline.held(stay.holder, place)) for stay in aside.trail.at(place)]
    return Food(
        here=tuple(FoodHere(holder.subject, birds) for holder, birds in here),
        gone=tuple(FoodGone(one.to, one.birds, one.at) for one in aside.trail.gone if one.at < ends_at),
        made_good=tuple(
            FoodMadeGood(step.stay.holder.subject, step.move.other, step.birds, step.move.at)
            for step in aside.trail.steps
            if step.made_good and step.move.at < ends_at
        ),
        released=tuple({entry.root: entry for entry in _released(aside)}.values()),
    )


def _released(aside: Aside) -> Iterable[Entry]:
    return (stay.released_by for stay in aside.trail.stays if stay.released_by is not None)


def is_still_held(assessment: Assessment, finding: Finding, at: datetime) -> bool:
    """Whether any bird that a finding concerned is still in the kitchen at a moment, released or not."""
    doubts = assessment.doubts
    return bool(doubts.follow_all(finding).at(doubts.timeline.place_at(at)))


def set_aside_at(assessment: Assessment, finding: Finding, at: datetime) -> tuple[FoodHere, ...]:
    """Give where food is set aside for a finding at a moment of any day: what is gone, made good or released is not."""
    answers, timeline = assessment.answers.get(finding.key), assessment.doubts.timeline
    trail, place = assessment.doubts.follow(finding, answers.releases if answers else ()).trail, timeline.place_at(at)
    return tuple(FoodHere(stay.holder.subject, timeline.held(stay.holder, place)) for stay in trail.at(place))


def food_by_now(assessment: Assessment, finding: Finding) -> Food:
    """Show what became of a finding's food up to `as_of`, on whichever day."""
    answers = assessment.answers.get(finding.key)
    aside = assessment.doubts.follow(finding, answers.releases if answers else ())
    return Food(
        here=set_aside_at(assessment, finding, assessment.as_of),
        gone=tuple(FoodGone(one.to, one.birds, one.at) for one in aside.trail.gone),
        made_good=tuple(
            FoodMadeGood(step.stay.holder.subject, step.move.other, step.birds, step.move.at)
            for step in aside.trail.steps
            if step.made_good
        ),
        released=tuple({entry.root: entry for entry in _released(aside)}.values()),
    )


def out_while_aside(judged: Judged) -> dict[tuple[str, Subject], tuple[Finding, ...]]:
    """Give what took food out of the kitchen while it was set aside, and for which findings it was.

    By the id of the entry's first version and what it came out of.
    """
    found: dict[tuple[str, Subject], tuple[Finding, ...]] = {}
    for subject in judged.kitchen.holders:
        for left in judged.aside.left(subject):
            move = left[0][1].move
            if move.other is None:
                found[move.entry.root, subject] = tuple(aside.finding for aside, _step in left)
    return found


def is_in_the_way(orders: Orders, holder: Holder, *, day_runs: bool) -> bool | None:
    """Whether what was ordered of food keeps a day from being signed; None where that does not decide it."""
    standing = orders.standing_in(holder)
    away = [action for action in standing if action.disposition != "hold_for_evaluation"]
    if away:
        return True if day_runs else None
    return False if standing and holder.subject.kind != "spit" else None
