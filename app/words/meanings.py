"""What a reading means, in a sentence: for the pad before it is saved, and for the pages after."""

from app.kinds import Temperature
from app.rules.meaning.bands import Meaning

from . import measures
from .marking import N_
from .marking import gettext as _

_MEANINGS = {
    "at_or_above": N_("%(reading)s: at or above %(limit)s."),
    "at_or_under": N_("%(reading)s: at or under %(limit)s."),
    "under": N_("%(reading)s: under %(limit)s."),
    "over": N_("%(reading)s: over %(limit)s."),
    "keep_cooking": N_("%(reading)s: under %(limit)s. Keep it cooking and probe this bird again."),
    "keep_heating": N_("%(reading)s: under %(limit)s. Keep heating it."),
    "held": N_("%(reading)s: at or above %(limit)s, and held."),
    "not_yet_held": N_(
        "%(reading)s: at or above %(limit)s, but not yet shown for %(seconds)s\u00a0s. "
        "Check it again, or say how long it was held."
    ),
    "past_first": N_("%(reading)s: at or under %(limit)s, not yet %(further)s."),
    "still_over": N_("%(reading)s: still over %(limit)s."),
    "do_not_take": N_("%(reading)s: over %(limit)s. Do not accept it."),
}


def reading_words(meaning: Meaning, reading: Temperature) -> str:
    """Say what a reading means, with the limit as its source prints it in the unit that was read."""
    return _sentence(meaning, reading.unit, measures.measured(reading))


def band_words(meaning: Meaning, unit: str) -> str:
    """Say what a value of a band means, with `…` where the number that is typed will stand."""
    return _sentence(meaning, unit, _("%(number)s °%(unit)s", number="…", unit=unit))


def _sentence(meaning: Meaning, unit: str, reading: str) -> str:
    return _(
        _MEANINGS[meaning.code],
        reading=reading,
        limit=measures.limit(meaning.limit, unit),
        further=measures.limit(meaning.further, unit) if meaning.further else "",
        seconds=meaning.seconds,
    )
