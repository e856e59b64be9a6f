"""What needs doing now about chilled batches and reheats: marks of cooling, hot by when, the last day."""

from collections.abc import Iterator
from datetime import date, timedelta

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.rules.meaning import alarms
from app.rules.meaning.alarms import Alarm

from .batch_forecast import Mark
from .cooling import BatchPage, batch_page_of
from .jobs import Job, Urgency, until
from .reheating import ReheatPage, reheat_page_of

_AHEAD = timedelta(days=1)
"""Before its last day a batch is on the page: enough to plan its use (common practice, no source)."""


_HOT_SOON = timedelta(minutes=30)
"""So long before a reheat must be hot it stands on top: enough to heat it on (common practice, no source)."""


def batch_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for every batch that cools, that was answered, or that is near its last day, and for every reheat."""
    for batch in assessment.batches:
        if batch.birds_left and batch.set_aside is None:
            page = batch_page_of(assessment, batch.batch)
            if page.must_go:
                yield _away_job(page, Alarm("batch", batch.batch, "throw_away"), _batch_away(page))
            elif page.next_mark is not None:
                yield _cooling_job(page, page.next_mark)
            elif batch.use_by is not None and assessment.day >= batch.use_by - _AHEAD:
                yield _last_day_job(page, batch.use_by)
            elif batch.ordered:
                yield _answered_job(page, batch.ordered[-1].disposition)
    for reheat in assessment.reheats:
        if reheat.birds_left and reheat.set_aside is None:
            yield _reheat_job(reheat_page_of(assessment, reheat.reheat))


def _named(page: BatchPage | ReheatPage) -> str:
    if isinstance(page, BatchPage):
        return words.sentence_start(_("batch %(batch)s", batch=words.short_name(page.batch.batch)))
    return words.sentence_start(_("reheat %(reheat)s", reheat=words.short_name(page.reheat.reheat)))


def _batch_away(page: BatchPage) -> str:
    return url_for("batches_out.batch_out", batch=page.batch.batch, to="discarded")


def _away_job(page: BatchPage | ReheatPage, alarm: Alarm, href: str) -> Job:
    """Food that a corrective action says is thrown away."""
    return Job(
        urgency=Urgency.RUNNING_OUT,
        at=page.assessment.as_of,
        verdict=Verdict.NOT_MET,
        title=_("%(what)s: throw away", what=_named(page)),
        says=page.line,
        when=_("now"),
        when_small="",
        href=href,
        label=_("Throw away"),
        is_loss=True,
        alarm=alarm,
    )


def _answered_job(page: BatchPage, disposition: str) -> Job:
    """Food about which a corrective action says something else, until that is done."""
    return Job(
        urgency=Urgency.LATER,
        at=page.assessment.ends_at,
        verdict=page.verdict or Verdict.PENDING,
        title=f"{_named(page)}: {words.disposition_word(disposition)}",
        says=page.line,
        when="",
        when_small="",
        href=url_for("cooling.batch_page", batch=page.batch.batch),
        label=_("Open"),
    )


def _cooling_job(page: BatchPage, mark: Mark) -> Job:
    now, due_at = page.assessment.as_of, mark.stage.due_at
    return Job(
        urgency=Urgency.RUNNING_OUT if mark.likely_misses or due_at - now <= alarms.SOON else Urgency.LATER,
        at=due_at,
        verdict=mark.stage.verdict,
        title=_named(page),
        says=" · ".join(filter(None, [page.line, page.likely or _forecast(page, mark)])),
        when=until(due_at, now),
        when_small=_("down to %(limit)s", limit=words.limit(mark.limit)),
        href=url_for("cooling.batch_page" if mark.likely_misses else "cooling.cooling_reading", batch=page.batch.batch),
        label=_("Cool it faster") if mark.likely_misses else _("Check"),
        alarm=Alarm("batch", page.batch.batch, "cool_by"),
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
        title=_named(page),
        says=page.line,
        when=_("past its date") if page.is_past_date else near,
        when_small=_("use by"),
        href=url_for("batches_out.batch_out", batch=page.batch.batch, to="discarded" if page.is_past_date else None),
        label=_("Birds out"),
        alarm=alarms.of_past_date(page.batch, assessment.starts_at),
    )


def _reheat_job(page: ReheatPage) -> Job:
    reheat, now = page.reheat, page.assessment.as_of
    if page.must_go:
        href = url_for("reheating.reheat_done", reheat=reheat.reheat, away="all")
        return _away_job(page, Alarm("reheat", reheat.reheat, "throw_away"), href)
    is_soon = reheat.due_at - now <= _HOT_SOON
    is_next = page.is_ready and page.may_go_in_tray
    step = "reheating.reheat_done" if is_next else "reheating.reheat_reading"
    waiting = Urgency.RUNNING_OUT if is_soon else Urgency.LATER
    return Job(
        urgency=Urgency.NOW if is_next else waiting,
        at=reheat.due_at,
        verdict=Verdict.MET if page.is_ready else reheat.verdict,
        title=_named(page),
        says=page.line,
        when=until(reheat.due_at, now),
        when_small=_("hot and held") if page.is_ready else _("hot by"),
        href=url_for(step, reheat=reheat.reheat),
        label=_("Into a tray") if is_next else _("Check"),
        alarm=alarms.of_reheat(reheat, now),
    )
