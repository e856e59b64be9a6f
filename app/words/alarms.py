"""Alarms in words: what each is about and what it asks for, and the phrases for silencing one."""

from datetime import date

from app.kinds import AlarmSilenced, Subject
from app.rules.facts import Site

from .marking import N_, gettext, say
from .measures import local_time
from .subjects import sentence_start, subject_words

_ALARMS = {
    "probe_birds": N_("probe the birds"),
    "pull": N_("ready to pull"),
    "check_due": N_("check due"),
    "check_overdue": N_("check overdue"),
    "use_by": N_("use in time"),
    "use_soon": N_("use now"),
    "throw_away": N_("throw away"),
    "cool_by": N_("cool in time"),
    "past_date": N_("past its date"),
    "hot_by": N_("hot in time"),
    "into_tray": N_("hot: into a tray"),
    "read_food": N_("check the food in it"),
    "read_tray": N_("check a tray in it"),
    "check_unit": N_("check the unit"),
    "check_probe": N_("check the probe"),
    "set_aside": N_("set aside, do not serve"),
}

_REASONS = (
    N_("I am doing it now."),
    N_("It waits for a free probe."),
    N_("The person in charge knows."),
)


def asks_word(alarm: str) -> str:
    """Give what an alarm asks for."""
    return say(_ALARMS, alarm)


def alarm_words(about: str, name: str, alarm: str) -> str:
    """Say what an alarm is about and what it asks for: `Tray A-T1: check overdue`."""
    return f"{sentence_start(subject_words(Subject(about, name)))}: {asks_word(alarm)}"


def silenced_words(silence: AlarmSilenced, site: Site, *, day: date) -> str:
    """Say who silenced an alarm, when and why."""
    by = site.people.get(silence.person)
    at = local_time(silence.observed_at, site.timezone, day=day)
    values = {"name": by.name if by else silence.person, "time": at, "reason": silence.reason}
    return gettext("Silenced by %(name)s at %(time)s: %(reason)s", **values)


def silencing_phrases() -> list[tuple[str, str]]:
    """Give why an alarm may be silenced, as the choices of a form. Common practice, no source."""
    return [(said, said) for said in map(gettext, _REASONS)]


def heard_answers() -> list[tuple[str, str]]:
    """Give the answers to whether a tone was heard, as the choices of a form."""
    return [("yes", gettext("yes, heard")), ("no", gettext("no, not heard"))]
