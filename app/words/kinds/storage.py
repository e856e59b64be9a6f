"""Words of deliveries and of checks of units."""

from zoneinfo import ZoneInfo

from app.kinds import Receiving, UnitCheck

from .. import measures, names
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


@says(Receiving, N_("Delivery"))
def _receiving(entry: Receiving, zone: ZoneInfo) -> str:
    return parts(
        entry.product,
        _("from %(supplier)s", supplier=entry.supplier),
        names.state_word(entry.state),
        names.decision_word(entry.decision),
        entry.reason or "",
        _("use by %(day)s", day=measures.day_words(entry.use_by)) if entry.use_by else "",
    )


@says(UnitCheck, N_("Unit check"))
def _unit_check(entry: UnitCheck, zone: ZoneInfo) -> str:
    return names.measured_of_word(entry.of)
