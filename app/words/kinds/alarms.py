"""Words of alarms that are silenced, and of the test of their sound."""

from zoneinfo import ZoneInfo

from app.kinds import AlarmSilenced, SoundTest

from ..alarms import alarm_words
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


@says(AlarmSilenced, N_("Alarm silenced"))
def _alarm_silenced(entry: AlarmSilenced, zone: ZoneInfo) -> str:
    return parts(alarm_words(entry.about, entry.name, entry.alarm), entry.reason)


@says(SoundTest, N_("Sound test"))
def _sound_test(entry: SoundTest, zone: ZoneInfo) -> str:
    return _("the tone was heard") if entry.heard else _("the tone was not heard")
