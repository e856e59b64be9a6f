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

_OVERDUE = {**_ALARMS, "check_overdue": N_("check the temperature")}

_DO = {
    "probe_birds": N_("See that the birds are probed."),
    "pull": N_("See that the birds are pulled."),
    "check_due": N_("See that its temperature is read."),
    "check_overdue": N_("See that its temperature is read."),
    "use_by": N_("See that it is used in time, or thrown away."),
    "use_soon": N_("See that it is used now, or thrown away."),
    "throw_away": N_("See that nobody is served from it. Have it thrown away."),
    "cool_by": N_("See that its temperature is read. It has to be cold in time."),
    "past_date": N_("See that nobody is served from it. Have it thrown away."),
    "hot_by": N_("See that its temperature is read. It has to be hot in time."),
    "into_tray": N_("See that it is put into a tray."),
    "read_food": N_("See that the food in it is checked."),
    "read_tray": N_("See that a tray in it is checked."),
    "check_unit": N_("See that its temperature is read."),
    "check_probe": N_("See that the probe is checked. Until then use another one."),
    "set_aside": N_("See that nobody is served from it. Somebody in charge decides what to do with it."),
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


def overdue_words(about: str, name: str, alarm: str) -> str:
    """Say within a sentence what has not been done: `tray A-T1, check the temperature`."""
    return f"{subject_words(Subject(about, name))}, {say(_OVERDUE, alarm)}"


def alarm_to_do_words(alarm: str) -> str:
    """Say what somebody who is not in the kitchen can do about an alarm, in a sentence or two."""
    return say(_DO, alarm)


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
