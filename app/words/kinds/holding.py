"""Words of trays: read, moved, emptied, held by time."""

from zoneinfo import ZoneInfo

from app.kinds import HoldReading, TimeControlStarted, TrayMoved, TrayOut

from .. import measures, names, ways
from ..marking import N_
from ..marking import gettext as _
from ..short import short_name
from .saying import nothing, parts, says


@says(HoldReading, N_("Hold reading"), brief=nothing)
def _hold_reading(entry: HoldReading, zone: ZoneInfo) -> str:
    return _("reading")


@says(TrayMoved, N_("Tray moved"))
def _tray_moved(entry: TrayMoved, zone: ZoneInfo) -> str:
    return _("moved to unit %(unit)s", unit=entry.hot_unit)


@says(TrayOut, N_("Out of the tray"))
def _tray_out(entry: TrayOut, zone: ZoneInfo) -> str:
    return parts(
        ways.to_word(entry.to),
        _("to %(value)s", value=entry.recipient) if entry.recipient else "",
        ways.reason_word(entry.reason) if entry.reason else "",
        _("tray %(value)s", value=short_name(entry.into)) if entry.into else "",
        _("as %(value)s", value=entry.product) if entry.product else "",
        _("batch %(value)s", value=short_name(entry.batch)) if entry.batch else "",
        names.method_word(entry.method) if entry.method else "",
        _("unit %(value)s", value=entry.cold_unit) if entry.cold_unit else "",
        _("reheat %(value)s", value=short_name(entry.reheat)) if entry.reheat else "",
        _("load %(value)s", value=short_name(entry.load)) if entry.load else "",
        "" if entry.spit is None else _("spit %(value)s", value=entry.spit),
    )


@says(TimeControlStarted, N_("Time control started"))
def _time_control_started(entry: TimeControlStarted, zone: ZoneInfo) -> str:
    marked = entry.marked_discard_by
    label = _("label says discard by %(time)s", time=measures.local_time(marked, zone)) if marked else _("no label")
    return parts(_("time control started"), label)
