"""Words of chilled batches."""

from zoneinfo import ZoneInfo

from app.kinds import BatchMoved, BatchOut, CoolingReading

from .. import ways
from ..marking import N_
from ..marking import gettext as _
from ..short import short_name
from .saying import nothing, parts, says


@says(CoolingReading, N_("Cooling reading"), brief=nothing)
def _cooling_reading(entry: CoolingReading, zone: ZoneInfo) -> str:
    return _("reading")


@says(BatchMoved, N_("Batch moved"))
def _batch_moved(entry: BatchMoved, zone: ZoneInfo) -> str:
    return _("moved to unit %(unit)s", unit=entry.cold_unit)


@says(BatchOut, N_("Out of the batch"))
def _batch_out(entry: BatchOut, zone: ZoneInfo) -> str:
    return parts(
        ways.to_word(entry.to),
        _("as %(value)s", value=entry.product) if entry.product else "",
        _("batch %(value)s", value=short_name(entry.into)) if entry.into else "",
        _("to %(value)s", value=entry.recipient) if entry.recipient else "",
    )
