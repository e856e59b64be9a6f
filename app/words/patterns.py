"""What a pattern in a day's readings is, in one sentence: pointed out, never an accusation."""

from app.rules.day.patterns import EARLY_WITHIN, JUMP_WITHIN, SEEN_OVER, WRITTEN_WITHIN
from app.rules.day.shown import Pattern

from .marking import N_
from .marking import gettext as _
from .measures import whole_minutes

_PATTERNS = {
    "written_together": N_(
        "Readings seen over %(seen_over)s minutes or more were written within %(written_within)s minutes."
    ),
    "jump": N_("One bird was read twice within %(jump_within)s minutes, far apart."),
    "early": N_("A bird was at the limit less than %(early_within)s minutes after loading."),
}


def pattern_words(pattern: Pattern) -> str:
    """Say what a reviewer may want to look at, and in which entries."""
    what = _(
        _PATTERNS[pattern.pattern],
        seen_over=whole_minutes(SEEN_OVER),
        written_within=whole_minutes(WRITTEN_WITHIN),
        jump_within=whole_minutes(JUMP_WITHIN),
        early_within=whole_minutes(EARLY_WITHIN),
    )
    numbers = ", ".join(str(entry.seq) for entry in pattern.entries)
    return _("%(what)s Entries no. %(numbers)s.", what=what, numbers=numbers)
