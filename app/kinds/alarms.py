"""Alarms: one that is silenced, and the test of the sound that tells them."""

from dataclasses import dataclass
from typing import Annotated

from .entry import Entry
from .fields import LINE, Choice, Flag

ALARMED = ("load", "tray", "batch", "reheat", "cold_unit", "hot_unit", "probe")
"""What an alarm is about."""

ALARMS = (
    *("probe_birds", "pull"),
    *("check_due", "check_overdue", "use_by", "use_soon", "throw_away"),
    *("cool_by", "past_date", "hot_by", "into_tray"),
    *("read_food", "read_tray", "check_unit", "check_probe", "set_aside"),
)
"""What an alarm asks for. A check that falls due and one that is overdue are two: the one becomes the other."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AlarmSilenced(Entry):
    """Somebody silences the alarm of one thing, with a reason, until that thing changes. No rule judges it."""

    KIND = "alarm_silenced"
    IS_WORK = COUNTS_FOR_DAY = False
    about: Annotated[str, Choice(ALARMED)]
    name: Annotated[str, LINE]
    alarm: Annotated[str, Choice(ALARMS)]
    reason: Annotated[str, LINE]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SoundTest(Entry):
    """The tone of the alarms is played on a device, and somebody says whether it was heard. No rule judges it."""

    KIND = "sound_test"
    IS_WORK = COUNTS_FOR_DAY = False
    heard: Annotated[bool, Flag()]
