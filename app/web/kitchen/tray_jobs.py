"""What needs doing now about trays: throw away, use by, or check; by the plan of each tray."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from flask import url_for
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l

from app import words
from app.logs import drawings
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import TrayView
from app.rules.facts import Verdict
from app.rules.meaning import alarms, answered
from app.rules.meaning import holding as meaning

from .jobs import Job, Urgency, due_words, until, urgency

_TO_USE = {"served": _l("serve"), "reheated": _l("reheat"), "chilled": _l("chill")}
"""What a cook may do about food that gets cold, the quickest first."""


def tray_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for every tray that holds birds. What is set aside has a line of its own already."""
    for tray in assessment.trays:
        if tray.birds_left and tray.set_aside is None:
            yield tray_job(tray, assessment)


def tray_job(tray: TrayView, assessment: Assessment) -> Job:
    """Give what is next for a tray."""
    now, ends = assessment.as_of, meaning.use_by(tray, assessment.as_of)
    if meaning.must_go(tray) or answered.is_to_go(tray):
        title = _("Tray %(tray)s: throw away", tray=words.short_name(tray.tray))
        href = url_for("trays_out.tray_out", tray=tray.tray, to="discarded")
        return _job(tray, assessment, title, now, (_("now"), ""), (href, _("Throw away")), is_loss=True)
    if ends is not None:
        title = _title(tray, assessment, ends)
        due = (until(ends, now), _("then throw away"))
        return _job(tray, assessment, title, ends, due, (_page(tray), _("Empty it")), is_loss=True)
    title = _("Tray %(tray)s: check the temperature", tray=words.short_name(tray.tray))
    check = (url_for("holding.hold_reading", tray=tray.tray), _("Check"))
    if tray.check_due_at is None:
        return _job(tray, assessment, title, assessment.ends_at, ("", ""), check)
    small = due_words(tray.check_due_at, assessment)
    return _job(tray, assessment, title, tray.check_due_at, (until(tray.check_due_at, now), small), check)


def _title(tray: TrayView, assessment: Assessment, ends: datetime) -> str:
    verbs = [str(verb) for way, verb in _TO_USE.items() if way in tray.ways_in_order]
    if tray.ordered and not verbs:
        verbs = [words.disposition_word(tray.ordered[-1].disposition)]
    by = words.local_time(ends, assessment.site.timezone, day=assessment.day)
    values = {"tray": words.short_name(tray.tray), "do": words.joined_or(verbs), "time": by}
    return str(_("Tray %(tray)s: %(do)s. Throw away at %(time)s", **values))


def _job(
    tray: TrayView,
    assessment: Assessment,
    title: str,
    at: datetime,
    margin: tuple[str, str],
    button: tuple[str, str],
    *,
    is_loss: bool = False,
) -> Job:
    last = tray.held[-1] if tray.held else None
    return Job(
        urgency=_urgency(tray, at, assessment.as_of, is_loss=is_loss),
        at=at,
        verdict=Verdict.NOT_MET if last is not None and last.is_low else tray.verdict,
        title=title,
        reading=words.measured(last.entry.reading) if last else "",
        says=_said(tray, assessment),
        when=margin[0],
        when_small=margin[1],
        href=button[0],
        label=button[1],
        means=late_line(tray, assessment),
        briefly=_briefly(tray, assessment),
        is_loss=is_loss,
        time_line=drawings.time_line(tray, assessment.as_of),
        page=_page(tray),
        alarm=alarms.of_tray(tray, assessment.as_of),
    )


def late_line(tray: TrayView, assessment: Assessment) -> str:
    """Say what a check that is late means by the plan of its tray; empty where none is."""
    late = meaning.late_check(tray, assessment.as_of)
    if late is None:
        return ""
    unknown = words.unknown_words(late, assessment.site.timezone, day=assessment.day)
    return f"{unknown} {words.if_low_words(late, meaning.hold_limit(tray), assessment.site.unit or 'F')}"


def _briefly(tray: TrayView, assessment: Assessment) -> str:
    late = meaning.late_check(tray, assessment.as_of)
    if late is None or not late.is_missed:
        return ""
    since = words.local_time(late.since, assessment.site.timezone, day=assessment.day)
    return str(_("unknown since %(time)s", time=since))


def _urgency(tray: TrayView, at: datetime, now: datetime, *, is_loss: bool) -> Urgency:
    if is_loss and at - now <= alarms.SOON:
        return Urgency.RUNNING_OUT
    return Urgency.NOW if meaning.is_cooling_off(tray) else urgency(at, now)


def _page(tray: TrayView) -> str:
    return url_for("holding.tray_page", tray=tray.tray)


def _said(tray: TrayView, assessment: Assessment) -> str:
    parts = [_last_read(tray, assessment), tray_line(tray)]
    return " · ".join(part for part in parts if part)


def _last_read(tray: TrayView, assessment: Assessment) -> str:
    if not tray.held:
        return str(_("not checked yet"))
    at = tray.held[-1].entry.observed_at
    return str(_("at %(time)s", time=words.local_time(at, assessment.site.timezone, day=assessment.day)))


def tray_line(tray: TrayView) -> str:
    """Give a tray in one line: birds, unit, and the time out of temperature where there is any."""
    parts = [words.birds(tray.birds_left)]
    if tray.hot_unit:
        parts.append(tray.hot_unit)
    parts += [words.disposition_word(action.disposition) for action in tray.ordered]
    if tray.out_of_temperature_s:
        used = words.duration(timedelta(seconds=tray.out_of_temperature_s))
        limit = words.minutes(meaning.usable_min(tray))
        parts.append(_("out of temperature %(used)s, limit %(limit)s", used=used, limit=limit))
    return " · ".join(parts)
