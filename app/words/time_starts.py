"""Why a tray may not be put under time as the control, in one sentence."""

from app.rules.subjects.time_start import LAST_READING

from . import measures
from .marking import N_
from .marking import gettext as _

_BARS = {
    "empty": N_("Nothing is left in this tray."),
    "set_aside": N_("This tray is set aside. Time as the control cannot begin."),
    "started": N_("This tray is under time as the control already."),
    "not_in_force": N_("This plan has no time as the control."),
    "must_go": N_("This tray may only be thrown away now."),
    "not_read": N_("It was not checked in the last %(minutes)s minutes. Check the temperature first."),
    "under": N_("Its last reading is under the limit. Time as the control cannot begin."),
}


def start_bar_words(bar: str) -> str:
    """Say what bars the start, by its code."""
    return _(_BARS[bar], minutes=measures.whole_minutes(LAST_READING)) if bar == "not_read" else _(_BARS[bar])
