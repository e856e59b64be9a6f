"""Words of deliveries and of checks of units."""

from zoneinfo import ZoneInfo

from app.kinds import RawOut, Receiving, Thawing, UnitCheck
from app.rules.subjects import thawing

from .. import measures, names, ways
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


@says(RawOut, N_("Raw birds out"))
def _raw_out(entry: RawOut, zone: ZoneInfo) -> str:
    return parts(_("raw, not loaded"), ways.to_word(entry.to), entry.reason or "")


@says(UnitCheck, N_("Unit check"))
def _unit_check(entry: UnitCheck, zone: ZoneInfo) -> str:
    return names.measured_of_word(entry.of)


def _thawing_cautions() -> tuple[str, ...]:
    water, cold = measures.limit(thawing.WATER), measures.limit(thawing.IN_COLD_UNIT)
    return (
        _("In a cold unit: the birds stay at %(cold)s or colder.", cold=cold),
        _("Under running water: at most %(water)s, whole birds under it, loose particles float off.", water=water),
        _(
            "Raw birds may be above %(above)s for at most %(time)s in all, with preparing them.",
            above=measures.limit(thawing.RAW_ABOVE),
            time=measures.duration(thawing.RAW_ABOVE_AT_MOST),
        ),
        _("%(source)s. The local code may ask for more.", source=thawing.SOURCE),
    )


@says(Thawing, N_("Frozen birds thawing"), cautions=_thawing_cautions)
def _thawing(entry: Thawing, zone: ZoneInfo) -> str:
    unit = _("unit %(unit)s", unit=entry.cold_unit) if entry.cold_unit else ""
    return parts(names.thawed_how_word(entry.how), unit)
