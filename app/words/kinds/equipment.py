"""Words of checks of probes, and of equipment that goes out of use and comes back."""

from zoneinfo import ZoneInfo

from app.kinds import EquipmentBack, EquipmentOut, ProbeCheck

from .. import measures, names
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


@says(ProbeCheck, N_("Probe check"))
def _probe_check(entry: ProbeCheck, zone: ZoneInfo) -> str:
    return parts(
        names.method_word(entry.method),
        _("reference %(degrees)s", degrees=measures.measured(entry.reference)) if entry.reference else "",
        "" if entry.pressure_hpa is None else _("at %(pressure)s hPa", pressure=measures.number(entry.pressure_hpa)),
        "" if entry.altitude_m is None else _("at %(altitude)s m", altitude=measures.number(entry.altitude_m)),
        _("adjusted") if entry.adjusted else "",
    )


@says(EquipmentOut, N_("Equipment out of use"))
def _equipment_out(entry: EquipmentOut, zone: ZoneInfo) -> str:
    return parts(_("out of use"), entry.cause or "")


@says(EquipmentBack, N_("Equipment back in use"))
def _equipment_back(entry: EquipmentBack, zone: ZoneInfo) -> str:
    return parts(_("back in use"), entry.cause or "")
