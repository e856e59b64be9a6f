"""Mail about what is overdue: looked for once a minute, sent once for each thing, until that changes."""

import json
from collections.abc import Mapping
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Any

from flask import current_app
from flask_babel import gettext as _
from sqlalchemy import ColumnElement, delete, select
from sqlalchemy.orm import Session

from app import ledger, register, words
from app.models import Job, Site
from app.rules.day.shown import Assessment
from app.rules.meaning.alarms import Alarm, Silences, overdue

from . import get_database, jobs, mail

_EVERY = timedelta(minutes=1)
_LOOKS, _MAILS = "overdue_look", "overdue_mail"


def watch(session: Session, site: Site, *, at: datetime) -> None:
    """Look for what is overdue from now on, where the site wants that and nothing looks already."""
    waiting = select(Job.id).where(*_looks_of(site), Job.done_at.is_(None)).limit(1)
    if site.alarm_mail_min is not None and session.scalar(waiting) is None:
        _look_again(session, site, at)


def _looks_of(site: Site) -> tuple[ColumnElement[bool], ...]:
    return Job.kind == _LOOKS, Job.key.startswith(f"{site.code} ", autoescape=True)


def _look_again(session: Session, site: Site, at: datetime) -> None:
    """Look again at a moment; of the looks that are over nothing is left behind."""
    session.execute(delete(Job).where(*_looks_of(site), Job.done_at.is_not(None)))
    jobs.ask(session, _LOOKS, f"{site.code} {at.isoformat()}", {"site": site.code}, at=at, due_at=at)


@jobs.job(_LOOKS, lane="outside")
def look(payload: Mapping[str, Any], at: datetime) -> None:
    """Ask for a mail about each thing that is overdue for so long; one that was asked for already is not again."""
    with get_database().writing() as session:
        site = register.find_site(session, payload["site"])
        if site is None or site.alarm_mail_min is None:
            return
        patience = timedelta(minutes=site.alarm_mail_min)
        for alarm in overdue(_assess(session, site, at)):
            if alarm.overdue_since is not None and at - alarm.overdue_since >= patience:
                _ask_for_mail(session, site, alarm, at)
        _look_again(session, site, at + _EVERY)


def _ask_for_mail(session: Session, site: Site, alarm: Alarm, at: datetime) -> None:
    since = alarm.overdue_since.isoformat() if alarm.overdue_since else ""
    for address in register.addresses_for(session, site, "alarms"):
        payload = {"site": site.code, "alarm": alarm.key, "since": since, "to": address}
        about = sha256(json.dumps(payload, sort_keys=True).encode()).hexdigest()
        jobs.ask(session, _MAILS, f"{site.code} {about}", payload, at=at)


@jobs.job(_MAILS, lane="outside")
def send(payload: Mapping[str, Any], at: datetime) -> None:
    """Send one mail about one thing, unless that is over by now: a mail server may have been away for hours."""
    with get_database().reading() as session:
        site = register.find_site(session, payload["site"])
        if site is None:
            return
        assessment = _assess(session, site, at)
    alarm = next((one for one in overdue(assessment) if one.key == payload["alarm"]), None)
    if alarm is None or alarm.overdue_since is None:
        return
    with words.by_clock(assessment.site.clock):
        message = _message(alarm, alarm.overdue_since, assessment)
    mail.send(current_app.config, message, to=[payload["to"]])


def _assess(session: Session, site: Site, at: datetime) -> Assessment:
    as_of = ledger.present(session, site.code, at)
    return ledger.assess_day(session, site.code, ledger.today(session, site.code, as_of), as_of=as_of)


def _message(alarm: Alarm, since: datetime, assessment: Assessment) -> mail.Message:
    """Give the mail: names stand whole and times with their zone, as whoever reads it is not in the kitchen."""
    zone, kitchen = assessment.site.timezone, assessment.site.name
    what = words.overdue_words(alarm.about, alarm.name, alarm.asks)
    read_at = words.local_date_time(assessment.as_of, zone)
    about = [
        _("%(what)s.", what=words.sentence_start(what)),
        _("Overdue since %(time)s.", time=words.local_date_time(since, zone)),
        _silenced(alarm, assessment),
    ]
    to_do = _("Call the kitchen if you are not there, and have it recorded.")
    lines = [
        *(line for line in about if line is not None),
        "",
        f"{words.alarm_to_do_words(alarm.asks)} {to_do}",
        "",
        _("By the records of %(kitchen)s, %(time)s.", kitchen=kitchen, time=read_at),
        _("No second mail is sent about this until it changes."),
    ]
    subject = _("Overdue: %(what)s (%(kitchen)s)", what=what, kitchen=kitchen)
    return mail.Message(kitchen, subject, "\n".join(lines) + "\n")


def _silenced(alarm: Alarm, assessment: Assessment) -> str | None:
    silence = Silences(assessment.entries, as_of=assessment.as_of).of(alarm)
    return words.silenced_words(silence, assessment.site, day=assessment.day) if silence else None
