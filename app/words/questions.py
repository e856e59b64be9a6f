"""What is asked before an unlikely reading is kept, in one sentence: what is odd about it, and what to do."""

from zoneinfo import ZoneInfo

from app.kinds import Temperature
from app.rules.day.patterns import EARLY_WITHIN
from app.rules.meaning.asking import HOTTEST, Question

from . import measures
from .marking import N_
from .marking import gettext as _

_QUESTIONS = {
    "very_hot": N_("%(reading)s: over %(hottest)s is unlikely. Off the bone? Check it again."),
    "other_unit": N_("%(number)s °F, or %(number)s °C? Look at the display."),
    "early": N_("At the limit less than %(minutes)s minutes after loading. Off the bone? Check it again."),
    "jump": N_("%(before)s at %(time)s, now %(reading)s. Off the bone? Check it again."),
}


def question_words(question: Question, reading: Temperature, zone: ZoneInfo) -> str:
    """Ask about a reading. `zone` is the kitchen's, for the time of an earlier one."""
    number = measures.number(reading.value)
    return _sentence(question, number, reading.unit, zone)


def asked_words(question: Question, unit: str, zone: ZoneInfo) -> str:
    """Ask about any value of a band, with `…` where the number that is typed will stand."""
    return _sentence(question, "…", unit, zone)


def _sentence(question: Question, number: str, unit: str, zone: ZoneInfo) -> str:
    before = question.before
    return _(
        _QUESTIONS[question.code],
        number=number,
        reading=_("%(number)s °%(unit)s", number=number, unit=unit),
        hottest=measures.degrees(HOTTEST[unit], unit),
        minutes=measures.whole_minutes(EARLY_WITHIN),
        before=measures.measured(before.reading) if before else "",
        time=measures.local_time(before.observed_at, zone) if before else "",
    )
