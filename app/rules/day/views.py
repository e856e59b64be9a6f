"""What a day shows of each subject: its state at `as_of` and its verdict."""

from collections.abc import Iterable, Mapping
from dataclasses import fields
from datetime import date, datetime
from decimal import Decimal

from app.kinds import (
    BatchOut,
    Receiving,
    ReheatDone,
    ReheatStarted,
    SpitLoaded,
    SpitPulled,
    Subject,
    TrayOut,
    UnitCheck,
)

from ..facts import Finding, Verdict, worst
from ..history.holders import Batch, Holder, Load, Movement, Reheat, Spit, Tray
from ..plans.plan import Plan
from ..subjects import holding, reheating, time_control
from ..subjects.cooking import judge_spit
from ..subjects.probe_checks import VALID_FOR, ProbeRecord
from .food_shown import SetAsideView
from .food_views import every_way, released_in, standing_orders
from .judge import Judged
from .shown import Birds
from .subjects_shown import BatchView, ColdUnitView, LoadView, ProbeView, ReceivingView, ReheatView, SpitView, TrayView

Asides = Mapping[Subject, SetAsideView]
"""What is set aside, by what holds it."""


class Verdicts:
    """Worst verdict of the findings on a subject, by the rule's first word."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        self._found: dict[Subject, list[tuple[str, Verdict]]] = {}
        for finding in findings:
            group = finding.rule.partition(".")[0]
            self._found.setdefault(finding.subject, []).append((group, finding.verdict))

    def of(self, subject: Subject, *groups: str, otherwise: Verdict) -> Verdict:
        """Give the worst verdict found on a subject, or what holds without a finding."""
        found = [verdict for group, verdict in self._found.get(subject, ()) if group in groups]
        return worst(found, otherwise=otherwise)


def load_view(judged: Judged, load: Load, asides: Asides) -> LoadView:
    """Show a load with its spits by number."""
    spits = tuple(_spit_view(judged, load.spits[number], asides) for number in sorted(load.spits))
    return LoadView(
        load=load.name,
        oven=load.oven,
        started_at=load.opener.observed_at,
        spits=spits,
        opener=load.opener,
        plan=load.plan,
    )


def _spit_view(judged: Judged, spit: Spit, asides: Asides) -> SpitView:
    result, as_of = judged.spits[spit.subject], judged.report.as_of
    now = judge_spit(judged.kitchen, spit, as_of) if spit.birds_left > 0 else result.judgement
    lowest = result.judgement.lowest
    trays = [move.other.name for move in spit.outs if move.other is not None]
    return SpitView(
        spit=spit.subject.spit or 0,
        birds=int(spit.birds_in),
        lots=tuple(dict.fromkeys(entry.lot for entry in spit.loadings() if entry.lot is not None)),
        verdict=result.verdict,
        birds_probed=result.judgement.birds_probed,
        lowest=lowest.entry.reading if lowest else None,
        pulled_at=spit.outs[-1].at if spit.outs else None,
        trays=tuple(dict.fromkeys(trays)),
        birds_on=int(spit.birds_left),
        birds_needed=result.judgement.birds_needed,
        states=result.judgement.states,
        latest=now.states,
        readings=tuple(spit.readings),
        loadings=tuple(move.entry for move in spit.fills if isinstance(move.entry, SpitLoaded | TrayOut)),
        pulls=tuple(spit.pulls()),
        if_pulled=now.verdict if spit.birds_left > 0 else result.verdict,
        conditions=result.judgement.conditions,
        target=spit.plan.limits.cook_target,
        set_aside=asides.get(spit.subject),
    )


def tray_view(judged: Judged, tray: Tray, verdicts: Verdicts, asides: Asides) -> TrayView:
    """Show a tray: where it stands, what is due, how long it was out of temperature."""
    exposure, as_of = judged.exposures.trays[tray.subject], judged.report.as_of
    out_for = exposure.out_for(as_of)
    band = holding.band_at(exposure, as_of)
    due = judged.dues[tray.subject][-1] if judged.dues[tray.subject] else None
    holds = tray.birds_left > 0
    by_time = exposure.by_time_from is not None
    ways = time_control.ways_out(tray.plan) if by_time else tray.plan.bands[band].ways_out
    if (aside := asides.get(tray.subject)) is not None:
        ways = aside.ways
    found = [verdicts.of(tray.subject, "hold", "time_control", "aside", otherwise=_undecided(tray))]
    found += [aside.finding.verdict for aside in judged.aside.ever_in(tray.subject)]
    return TrayView(
        tray=tray.subject.name,
        hot_unit=tray.unit_at(as_of),
        birds_in=tray.birds_in,
        birds_left=tray.birds_left,
        verdict=worst(found),
        known_hot_at=exposure.known_hot_at,
        check_due_at=due.due_at if due is not None and holds and not by_time else None,
        out_of_temperature_s=int(out_for.total_seconds()),
        time_band=band,
        discard_at=time_control.discard_at(exposure),
        opened_at=tray.opened_at,
        history=tuple(tray.history),
        ways_out=ways,
        ordered=standing_orders(judged, tray),
        ways_in_order=judged.orders.left_of(ways, tray),
        by_time=by_time,
        running_out=exposure.frozen is None and any(part.counts for part in exposure.parts),
        moves=tuple(tray.moves),
        plan=tray.plan,
        set_aside=aside,
        released=released_in(judged, tray),
    )


def _undecided(holder: Holder) -> Verdict:
    return Verdict.PENDING if holder.birds_left > 0 else Verdict.MET


def batch_view(judged: Judged, batch: Batch, asides: Asides) -> BatchView:
    """Show a batch with both stages of its cooling."""
    cooling, aside = judged.coolings[batch.subject], asides.get(batch.subject)
    return BatchView(
        batch=batch.subject.name,
        birds_in=batch.birds_in,
        birds_left=batch.birds_left,
        first_stage=cooling.first_stage.view() if cooling.first_stage else None,
        total=cooling.total.view() if cooling.total else None,
        use_by=cooling.use_by,
        product=batch.product,
        started_at=cooling.started_at,
        cold_unit=batch.moves[-1][1] if batch.moves else None,
        history=tuple(batch.history),
        ordered=standing_orders(judged, batch),
        ways_in_order=judged.orders.left_of(aside.ways if aside else every_way("batch"), batch),
        plan=batch.plan,
        set_aside=aside,
        released=released_in(judged, batch),
    )


def reheat_view(judged: Judged, reheat: Reheat, verdicts: Verdicts, asides: Asides) -> ReheatView:
    """Show a reheat: from where, since when, due when."""
    aside = asides.get(reheat.subject)
    return ReheatView(
        reheat=reheat.subject.name,
        source=reheat.fills[0].other or reheat.subject,
        birds_in=reheat.birds_in,
        birds_left=reheat.birds_left,
        verdict=verdicts.of(reheat.subject, "reheat", otherwise=_undecided(reheat)),
        started_at=reheat.opened_at,
        due_at=reheating.due_at(reheat),
        history=tuple(reheat.history),
        ordered=standing_orders(judged, reheat),
        ways_in_order=judged.orders.left_of(aside.ways if aside else every_way("reheat"), reheat),
        plan=reheat.plan,
        set_aside=aside,
        released=released_in(judged, reheat),
    )


def probe_view(record: ProbeRecord, *, until: datetime) -> ProbeView:
    """Show a probe's last check before a moment; the next is due a day after a pass, at once after a failure."""
    checks = [check for check in record.checks if check.entry.observed_at < until]
    last = checks[-1] if checks else None
    if last is None:
        return ProbeView(probe=record.code, verdict=Verdict.NOT_SHOWN, error=None, unit=None, due_at=None, checks=())
    seen_at = last.entry.observed_at
    return ProbeView(
        probe=record.code,
        verdict=Verdict.MET if last.passes else Verdict.NOT_MET,
        error=None if last.error is None else round(last.error, 2),
        unit=last.entry.reading.unit if last.entry.reading else None,
        due_at=seen_at + VALID_FOR if last.passes else seen_at,
        checks=tuple(check.entry for check in checks),
    )


def cold_unit_view(judged: Judged, code: str, checks: list[UnitCheck], day: date, plan: Plan) -> ColdUnitView:
    """Show a cold unit's checks of the day. What was found on other days counts only if it rests on these checks."""
    enough = len(checks) >= plan.limits.cold_checks_per_day
    subject, roots = judged.report.subject("cold_unit", code), {check.root for check in checks}
    found = [
        finding.verdict
        for finding in judged.report.findings
        if finding.subject == subject
        and finding.rule.startswith("cold.")
        and (finding.day == day or not roots.isdisjoint(finding.entries))
    ]
    return ColdUnitView(
        unit_code=code,
        verdict=worst(found, otherwise=Verdict.MET if enough else Verdict.PENDING),
        checks=len(checks),
        last=checks[-1] if checks else None,
        history=tuple(checks),
    )


def receiving_view(judged: Judged, delivery: Receiving) -> ReceivingView:
    """Show a delivery with the verdict on this very delivery."""
    found = [
        f.verdict for f in judged.report.findings if f.rule == "receive.temperature" and f.entries[0] == delivery.root
    ]
    return ReceivingView(
        lot=delivery.lot,
        product=delivery.product,
        supplier=delivery.supplier,
        birds=delivery.birds,
        decision=delivery.decision,
        verdict=worst(found),
        entry=delivery,
    )


_MOVED = [field.name for field in fields(Birds) if field.name != "left"]
_GONE = {"served_cold": "served", "reheated_to_order": "served"}


def count_birds(judged: Judged, starts_at: datetime, ends_at: datetime) -> Birds:
    """Add up the day's movements, and all that is held at `as_of`."""
    sums = dict.fromkeys(_MOVED, Decimal(0))
    for holder in judged.kitchen.holders.values():
        for move in holder.outs:
            if starts_at <= move.at < ends_at:
                _count_out(sums, move)
        if holder.subject.kind == "spit":
            for move in holder.fills:
                if isinstance(move.entry, SpitLoaded) and starts_at <= move.at < ends_at:
                    sums["loaded"] += move.birds
    left = sum([holder.birds_left for holder in judged.kitchen.holders.values()], Decimal(0))
    return Birds(**sums, left=left)


def _count_out(sums: dict[str, Decimal], move: Movement) -> None:
    entry = move.entry
    match entry:
        case SpitPulled():
            sums["pulled"] += entry.birds
            sums["discarded"] += len(entry.discarded_birds)
        case ReheatStarted():
            sums["reheated"] += move.birds
        case ReheatDone():
            sums["discarded"] += entry.discarded
        case TrayOut() | BatchOut():
            to = _GONE.get(entry.to, entry.to)
            if to in sums:
                sums[to] += move.birds


def is_shown(holder: Holder, starts_at: datetime, ends_at: datetime) -> bool:
    """Whether a day shows a subject: an entry in it, or birds still held at its start."""
    if holder.opened_at >= ends_at:
        return False
    if holder.opened_at >= starts_at:
        return True
    return any(starts_at <= entry.observed_at < ends_at for entry in holder.history) or holder.birds_at(starts_at) > 0
