"""What a pattern in a day's readings is, in one sentence: pointed out, never an accusation."""

from app.rules.day.shown import Pattern

from .marking import N_, say
from .marking import gettext as _

_PATTERNS = {
    "written_together": N_("Readings seen over an hour or more were written within five minutes."),
    "jump": N_("One bird was read twice within two minutes, far apart."),
    "early": N_("A bird was at the limit within half an hour of loading."),
}


def pattern_words(pattern: Pattern) -> str:
    """Say what a reviewer may want to look at, and in which entries."""
    numbers = ", ".join(str(entry.seq) for entry in pattern.entries)
    return _("%(what)s Entries no. %(numbers)s.", what=say(_PATTERNS, pattern.pattern), numbers=numbers)
