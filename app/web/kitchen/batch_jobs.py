"""What needs doing now about chilled batches and reheats: marks of cooling, hot by when, the last day."""

from collections.abc import Iterator
from datetime import date, timedelta

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.rules.meaning import alarms

from .batch_forecast import Mark
from .cooling import BatchPage, batch_page_of
from .jobs import Job, Urgency, until
from .reheating import ReheatPage, reheat_page_of

_AHEAD = timedelta(days=1)
"""Before its last day a batch is on the page: enough to plan its use (common practice, no source)."""


_HOT_SOON = timedelta(minutes=30)
"""So long before a reheat must be hot it stands on top: enough to heat it on (common practice, no source)."""


def batch_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for every batch that cools or is near its last day or past it, and for every reheat."""
    for batch in assessment.batches:
        if batch.birds_left and batch.set_aside is None:
            page = batch_page_of(assessment, batch.batch)
            if page.next_mark is not None:
                yield _cooling_job(page, page.next_mark)
            elif batch.use_by is not None and assessment.day >= batch.use_by - _AHEAD:
                yield _last_day_job(page, batch.use_by)
    for reheat in assessment.reheats:
        if reheat.birds_left and reheat.set_aside is None:
            yield _reheat_job(reheat_page_of(assessment, reheat.reheat))


def _cooling_job(page: BatchPage, mark: Mark) -> Job:
    now, due_at = page.assessment.as_of, mark.stage.due_at
    return Job(
        urgency=Urgency.RUNNING_OUT if mark.likely_misses or due_at - now <= alarms.SOON else Urgency.LATER,
        at=due_at,
        verdict=mark.stage.verdict,
        title=words.sentence_start(_("batch %(batch)s", batch=words.short_name(page.batch.batch))),
        says=" · ".join(filter(None, [page.line, page.likely or _forecast(page, mark)])),
        when=until(due_at, now),
        when_small=_("down to %(limit)s", limit=words.limit(mark.limit)),
        href=url_for("cooling.batch_page" if mark.likely_misses else "cooling.cooling_reading", batch=page.batch.batch),
        label=_("Cool it faster") if mark.likely_misses else _("Check"),
        alarm=alarms.Alarm("batch", page.batch.batch, "cool_by"),
    )


def _forecast(page: BatchPage, mark: Mark) -> str:
    if mark.forecast is None:
        return ""
    return words.forecast_words(mark.forecast, page.assessment.site.timezone, day=page.assessment.day)


def _last_day_job(page: BatchPage, use_by: date) -> Job:
    assessment = page.assessment
    near = _("last day") if assessment.day == use_by else _("tomorrow")
    return Job(
        urgency=Urgency.NOW if page.is_past_date else Urgency.LATER,
        at=assessment.ends_at,
        verdict=Verdict.NOT_MET if page.is_past_date else Verdict.PENDING,
        title=words.sentence_start(_("batch %(batch)s", batch=words.short_name(page.batch.batch))),
        says=page.line,
        when=_("past its date") if page.is_past_date else near,
        when_small=_("use by"),
        href=url_for("batches_out.batch_out", batch=page.batch.batch, to="discarded" if page.is_past_date else None),
        label=_("Birds out"),
        alarm=alarms.of_past_date(page.batch, assessment.starts_at),
    )


def _reheat_job(page: ReheatPage) -> Job:
    reheat, now = page.reheat, page.assessment.as_of
    is_soon = reheat.due_at - now <= _HOT_SOON
    step = "reheating.reheat_done" if page.is_ready else "reheating.reheat_reading"
    waiting = Urgency.RUNNING_OUT if is_soon else Urgency.LATER
    return Job(
        urgency=Urgency.NOW if page.is_ready else waiting,
        at=reheat.due_at,
        verdict=Verdict.MET if page.is_ready else reheat.verdict,
        title=words.sentence_start(_("reheat %(reheat)s", reheat=words.short_name(reheat.reheat))),
        says=page.line,
        when=until(reheat.due_at, now),
        when_small=_("hot and held") if page.is_ready else _("hot by"),
        href=url_for(step, reheat=reheat.reheat),
        label=_("Into a tray") if page.is_ready else _("Check"),
        alarm=alarms.of_reheat(reheat, now),
    )
