"""What needs doing now about the ovens: a line for each load with birds in it, its spits as rods."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.kinds import EquipmentBack, EquipmentOut
from app.logs import drawings
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import LoadView, SpitView
from app.rules.facts import Verdict
from app.rules.forecasts.forecast import Forecast, NoForecast
from app.rules.history.versions import effective
from app.rules.meaning import cooking as meaning
from app.rules.meaning.alarms import Alarm

from .jobs import Job, SpitLine, Urgency, large, until, urgency
from .load_forecast import longest_at_a_glance, spit_forecasts_at_a_glance

Forecasts = Mapping[int, Forecast | NoForecast]


def load_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each load that still has birds in the oven."""
    for load in assessment.loads:
        if any(spit.birds_on for spit in load.spits):
            yield _load_job(load, assessment, spit_forecasts_at_a_glance(assessment, load))


@dataclass(frozen=True, slots=True)
class _Margin:
    """When something of a load is to be taken out, and how the margin says so."""

    at: datetime
    when: str
    small: str
    urgency: Urgency
    title: str
    by: str = ""
    """What it goes by where there is no forecast."""


def _load_job(load: LoadView, assessment: Assessment, expected: Forecasts) -> Job:
    margin = _margin(load, assessment, expected)
    spits = tuple(_spit_line(load, spit) for spit in load.spits if spit.birds_on)
    ready = next((line.pull for line in spits if line.pull), None)
    started = words.local_time(load.started_at, assessment.site.timezone, day=assessment.day)
    since = _("load %(load)s, in since %(time)s", load=words.short_name(load.load), time=started)
    says = [since, margin.by, _oven_out(load.oven, assessment), *_aside(load, assessment)]
    values = {"oven": words.sentence_start(load.oven), "do": margin.title}
    return Job(
        urgency=margin.urgency,
        at=margin.at,
        verdict=min((line.verdict for line in spits), key=list(Verdict).index),
        title=_("%(oven)s oven: %(do)s", **values),
        says=" · ".join(part for part in says if part),
        when=margin.when,
        when_small=margin.small,
        href=ready or spits[0].probe,
        label=_("Pull") if ready else _("Probe"),
        spits=spits,
        page=url_for("cooking.load_page", load=load.load),
        alarm=Alarm("load", load.load, "pull" if ready else "probe_birds"),
    )


def _margin(load: LoadView, assessment: Assessment, expected: Forecasts) -> _Margin:
    now = assessment.as_of
    ready = [str(spit.spit) for spit in load.spits if spit.birds_on and spit.if_pulled == Verdict.MET]
    if ready:
        small = _("spit %(spits)s", spits=words.joined(ready)) if len(ready) == 1 else _spits(ready)
        return _Margin(now, _("ready"), small, Urgency.NOW, _("pull"))
    about = min((one.about for one in expected.values() if isinstance(one, Forecast)), default=None)
    if about is None:
        return _without_forecast(load, assessment)
    at = words.local_time(about, assessment.site.timezone, day=assessment.day)
    if about <= now:
        return _Margin(about, _("ready"), _("about %(time)s", time=at), Urgency.NOW, _("probe"))
    small = _("ready about %(time)s", time=at)
    return _Margin(about, until(about, now), small, urgency(about, now), _("cooking"))


def _without_forecast(load: LoadView, assessment: Assessment) -> _Margin:
    """Press once it cooks longer than any load of its oven did; the margin says for how long it has been cooking."""
    longest, cooking_for = longest_at_a_glance(assessment, load), assessment.as_of - load.started_at
    at, when, small = load.started_at + longest.length, large(cooking_for), _("in the oven")
    if cooking_for <= longest.length:
        return _Margin(at, when, small, Urgency.LATER, _("cooking"), words.longest_words(longest))
    return _Margin(at, when, small, Urgency.NOW, _("probe"), words.overlong_words(longest))


def _spits(ready: list[str]) -> str:
    return str(_("spits %(spits)s", spits=words.joined(ready)))


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


def _aside(load: LoadView, assessment: Assessment) -> Iterator[str]:
    """Say that what comes off is set aside, and why, once a load; its birds may be at the limit all the same."""
    turning = [spit for spit in load.spits if spit.birds_on]
    found = dict.fromkeys(one.key for spit in turning for one in meaning.setting_aside(assessment.findings, load, spit))
    for finding in assessment.findings:
        if finding.key in found:
            yield words.finding_words(finding, assessment).sentence
    if found:
        yield str(_("set aside when pulled"))


def _spit_line(load: LoadView, spit: SpitView) -> SpitLine:
    ready = spit.if_pulled == Verdict.MET
    is_low = spit.if_pulled == Verdict.NOT_MET
    return SpitLine(
        rod=drawings.rod(load, spit),
        verdict=Verdict.NOT_MET if is_low else Verdict.MET if ready else Verdict.PENDING,
        says=_in_part(spit) + _spit_says(spit, ready=ready, is_low=is_low),
        probe=url_for("cooking.cook_reading", load=load.load, spit=spit.spit),
        pull=url_for("pulling.spit_pulled", load=load.load, spit=spit.spit) if ready else None,
    )


def _in_part(spit: SpitView) -> str:
    """Say how many birds a pull left on a spit: it is drawn with all that were loaded, since nobody knows which."""
    return f"{words.still_on(spit)} · " if spit.pulled_at else ""


def _spit_says(spit: SpitView, *, ready: bool, is_low: bool) -> str:
    if is_low and spit.lowest is not None:
        return str(_("lowest %(reading)s: keep cooking", reading=words.measured(spit.lowest)))
    if ready:
        return str(_("at the limit"))
    missing = spit.birds_needed - spit.probed_by_now
    return str(_("probe %(birds)s", birds=words.birds(missing))) if missing > 0 else str(_("probe again"))
