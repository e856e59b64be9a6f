"""Words of reheats."""

from zoneinfo import ZoneInfo

from app.kinds import ReheatDone, ReheatReading, ReheatStarted

from .. import measures
from ..marking import N_
from ..marking import gettext as _
from ..short import short_name
from .cooking import held
from .saying import parts, says


@says(ReheatStarted, N_("Reheat started"))
def _reheat_started(entry: ReheatStarted, zone: ZoneInfo) -> str:
    return _("reheat %(reheat)s started", reheat=short_name(entry.reheat))


def _held(entry: ReheatReading, zone: ZoneInfo) -> str:
    return held(entry.held_s)


@says(ReheatReading, N_("Reheat reading"), brief=_held)
def _reheat_reading(entry: ReheatReading, zone: ZoneInfo) -> str:
    return parts(_("reading"), held(entry.held_s))


@says(ReheatDone, N_("Reheat done"))
def _reheat_done(entry: ReheatDone, zone: ZoneInfo) -> str:
    return parts(
        _("done, into tray %(tray)s", tray=short_name(entry.tray)) if entry.tray else _("done, nothing kept"),
        _("unit %(value)s", value=entry.hot_unit) if entry.hot_unit else "",
        _("thrown away: %(birds)s", birds=measures.bird_count(entry.discarded)) if entry.discarded else "",
    )
