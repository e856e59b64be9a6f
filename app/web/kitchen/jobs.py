"""What needs doing now: jobs read off an assessment, the most urgent first. What anything means was decided there."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import IntEnum

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.kinds import EquipmentBack, EquipmentOut
from app.rules.day.shown import Assessment, LoadView, SpitView, TrayView
from app.rules.facts import Concern, Verdict
from app.rules.history.versions import effective
from app.rules.meaning.holding import discard_band_min

from . import out_of_use, probes
from .running_day import is_open, sent_back_words

SOON = timedelta(minutes=15)


class Urgency(IntEnum):
    """How soon: in this order the jobs stand on the page."""

    LIMIT_NOT_MET = 0
    OVER = 1
    READY = 2
    ANSWER = 3
    SOON = 4
    LATER = 5
    DURING_THE_DAY = 6
    """A check of the kitchen that has no hour of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One line of the first page: what, by when, and the page that does it."""

    urgency: Urgency
    at: datetime
    verdict: Verdict
    title: str
    says: str
    when: str
    when_small: str
    href: str
    label: str
    runs_out: bool = False
    """Whether food is lost if it is not done in the next minutes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SpitJob:
    """One spit of a load that is cooking: how far it is, and whether it is probed or pulled next."""

    spit: int
    verdict: Verdict
    says: str
    href: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadJob:
    """A load with birds in the oven."""

    load: str
    oven: str
    says: str
    href: str
    spits: tuple[SpitJob, ...]


def jobs_of(assessment: Assessment) -> list[Job]:
    """Give the findings to be answered, and the trays and probes to be checked, the most urgent first."""
    answers = [*_finding_jobs(assessment), *_review_jobs(assessment)]
    jobs = [*answers, *_tray_jobs(assessment), *_probe_jobs(assessment)]
    return sorted(jobs, key=lambda job: (job.urgency, job.at))


def loads_cooking(assessment: Assessment) -> list[LoadJob]:
    """Give the loads that still have birds in the oven, the oldest first."""
    return [_load_job(load, assessment) for load in assessment.loads if any(spit.birds_on for spit in load.spits)]


def until(at: datetime, now: datetime) -> str:
    """Give how long it is until a moment, or since."""
    if at >= now:
        return str(_("in %(time)s", time=_rounded(at - now)))
    return str(_("%(time)s over", time=_rounded(now - at)))


def _rounded(length: timedelta) -> str:
    return words.duration(timedelta(minutes=length // timedelta(minutes=1)))


def _finding_jobs(assessment: Assessment) -> Iterator[Job]:
    for finding in assessment.findings:
        if is_open(finding) and finding.concerns != Concern.VERIFICATION and finding.rule != "probe.review":
            said, back = words.finding_words(finding, assessment), sent_back_words(assessment, finding.key)
            is_limit = finding.concerns == Concern.CRITICAL_LIMIT
            yield Job(
                urgency=Urgency.LIMIT_NOT_MET if is_limit else Urgency.ANSWER,
                at=finding.onset_at,
                verdict=finding.verdict,
                title=said.title,
                says=back or said.sentence,
                when=words.local_time(finding.onset_at, assessment.site.timezone, day=assessment.day),
                when_small=words.status_word(finding.status),
                href=url_for("findings.act", finding=finding.key),
                label=_("Say what was done"),
            )


def _review_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give one job for all that a failed check touched: one corrective action may answer for the group."""
    for review in probes.reviews_of(assessment):
        if review.keys:
            touched = [one.finding.subject for one in review.touched if is_open(one.finding)]
            yield Job(
                urgency=Urgency.ANSWER,
                at=review.check.observed_at,
                verdict=Verdict.NOT_SHOWN,
                title=_("Readings of probe %(probe)s to review", probe=review.check.probe),
                says=words.joined([words.subject_words(subject) for subject in touched]),
                when=words.local_time(review.check.observed_at, assessment.site.timezone, day=assessment.day),
                when_small=_("failed its check"),
                href=url_for("probes.index"),
                label=_("Review"),
            )


def _tray_jobs(assessment: Assessment) -> Iterator[Job]:
    for tray in assessment.trays:
        if tray.birds_left and not _is_only_aside(tray):
            yield _tray_job(tray, assessment)


def _is_only_aside(tray: TrayView) -> bool:
    """Whether nothing is left to do with a tray but what stands where it is told to be set aside."""
    return tray.set_aside is not None and tray.ways_out == ("discarded",)


def _tray_job(tray: TrayView, assessment: Assessment) -> Job:
    now = assessment.as_of
    empties = tray.discard_at is not None and (tray.check_due_at is None or tray.discard_at <= tray.check_due_at)
    at = (tray.discard_at if empties else tray.check_due_at) or tray.opened_at
    throws_away = tray.ways_out == ("discarded",)
    is_near = at - now <= SOON
    return Job(
        urgency=Urgency.OVER if at < now or throws_away else Urgency.SOON if is_near else Urgency.LATER,
        runs_out=is_near and empties,
        at=at,
        verdict=tray.verdict,
        title=words.sentence_start(_("tray %(tray)s", tray=tray.tray)),
        says=tray_line(tray, assessment),
        when=until(at, now),
        when_small=_("empty by") if empties else _("check"),
        href=url_for("holding.tray_page" if empties or throws_away else "holding.hold_reading", tray=tray.tray),
        label=_("Empty it") if empties or throws_away else _("Check"),
    )


def _probe_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each probe in use today whose check is due, and one for all the others together."""
    in_use = {view.probe for view in assessment.probes}
    codes = [line.equipment.code for line in probes.probe_lines() if line.is_due(assessment)]
    out = out_of_use.codes_out() if codes else set()
    due = [code for code in codes if code not in out]
    for code in due:
        if code in in_use:
            says = _("Check it before its next reading: it stands on no passed check.")
            yield _probe_job(assessment, Urgency.SOON, [code], says)
    others = [code for code in due if code not in in_use]
    if others:
        yield _probe_job(
            assessment, Urgency.DURING_THE_DAY, others, _("Not used today. Check before the first reading.")
        )


def _probe_job(assessment: Assessment, urgency: Urgency, codes: list[str], says: str) -> Job:
    named = words.joined(codes)
    is_one = len(codes) == 1
    return Job(
        urgency=urgency,
        at=assessment.as_of,
        verdict=Verdict.PENDING,
        title=_("Probe %(probe)s", probe=named) if is_one else _("Probes %(probes)s", probes=named),
        says=says,
        when=_("due"),
        when_small=_("check"),
        href=url_for("probes.probe_check", probe=codes[0]) if is_one else url_for("probes.index"),
        label=_("Check"),
    )


def tray_line(tray: TrayView, assessment: Assessment) -> str:
    """Give a tray in one line: birds, unit, and the time out of temperature where there is any."""
    parts = [words.birds(tray.birds_left)]
    if tray.hot_unit:
        parts.append(tray.hot_unit)
    if tray.out_of_temperature_s:
        used = words.duration(timedelta(seconds=tray.out_of_temperature_s))
        limit = words.minutes(discard_band_min(tray))
        parts.append(_("%(used)s of %(limit)s out of temperature", used=used, limit=limit))
    return " · ".join(parts)


def _load_job(load: LoadView, assessment: Assessment) -> LoadJob:
    length = _rounded(assessment.as_of - load.started_at)
    started = words.local_time(load.started_at, assessment.site.timezone, day=assessment.day)
    says = _("%(oven)s oven, since %(time)s (%(length)s)", oven=load.oven, time=started, length=length)
    out = _oven_out(load.oven, assessment)
    return LoadJob(
        load=load.load,
        oven=load.oven,
        says=says if out is None else f"{says} · {out}",
        href=url_for("cooking.load_page", load=load.load),
        spits=tuple(_spit_job(load, spit) for spit in load.spits if spit.birds_on),
    )


def _oven_out(oven: str, assessment: Assessment) -> str | None:
    """Say since when an oven with birds in it is out of use; None where it is in use."""
    turns = [
        entry
        for entry in effective(assessment.entries, as_of=assessment.as_of)
        if isinstance(entry, EquipmentOut | EquipmentBack) and entry.code == oven
    ]
    if not turns or isinstance(turns[-1], EquipmentBack):
        return None
    since = words.local_time(turns[-1].observed_at, assessment.site.timezone, day=assessment.day)
    return str(_("the oven is out of use since %(time)s", time=since))


def _spit_job(load: LoadView, spit: SpitView) -> SpitJob:
    ready = spit.if_pulled == Verdict.MET
    says = _("%(probed)s of %(needed)s probed", probed=spit.birds_probed, needed=spit.birds_needed)
    if spit.lowest is not None:
        says = f"{says} · {words.measured(spit.lowest)}"
    verdict = Verdict.NOT_MET if spit.if_pulled == Verdict.NOT_MET else Verdict.MET if ready else Verdict.PENDING
    return SpitJob(
        spit=spit.spit,
        verdict=verdict,
        says=says,
        href=url_for("cooking.spit_pulled" if ready else "cooking.cook_reading", load=load.load, spit=spit.spit),
        label=_("Pull") if ready else _("Probe"),
    )
