"""Words of loads, spits, readings in the birds, pulls and oven settings."""

from decimal import Decimal
from zoneinfo import ZoneInfo

from app.kinds import CookReading, LoadStarted, OvenSetting, SpitLoaded, SpitPulled, Weight

from .. import measures, names
from ..checks import answers_in_short, answers_words
from ..marking import N_
from ..marking import gettext as _
from ..short import short_name
from .saying import parts, says


def _checked(entry: LoadStarted, zone: ZoneInfo) -> str:
    return parts(_("started"), answers_in_short(entry.checks))


@says(LoadStarted, N_("Load started"), brief=_checked)
def _load_started(entry: LoadStarted, zone: ZoneInfo) -> str:
    return parts(_("started in oven %(oven)s", oven=entry.oven), answers_words(entry.checks))


def _loaded(entry: SpitLoaded, zone: ZoneInfo) -> str:
    return parts(
        *_lot_and_weight(entry),
        "" if entry.ties is None else _("ties: %(value)s", value=entry.ties),
        "" if entry.skewers is None else _("skewers: %(value)s", value=entry.skewers),
    )


def _lot_and_weight(entry: SpitLoaded) -> tuple[str, str]:
    return _("lot %(value)s", value=entry.lot) if entry.lot else "", _weight(entry.mean_weight)


@says(SpitLoaded, N_("Spit loaded"), brief=_loaded)
def _spit_loaded(entry: SpitLoaded, zone: ZoneInfo) -> str:
    return parts(
        _("spit %(spit)s loaded", spit=entry.spit),
        *_lot_and_weight(entry),
        "" if entry.ties is None else _("ties on: %(value)s", value=entry.ties),
        "" if entry.skewers is None else _("skewers on: %(value)s", value=entry.skewers),
    )


def _weight(weight: Weight | None) -> str:
    if weight is None:
        return ""
    return _("mean weight %(weight)s %(unit)s", weight=measures.number(weight.value), unit=weight.unit)


@says(OvenSetting, N_("Oven setting"))
def _oven_setting(entry: OvenSetting, zone: ZoneInfo) -> str:
    return _("set")


def _held(entry: CookReading, zone: ZoneInfo) -> str:
    return held(entry.held_s)


@says(CookReading, N_("Cook reading"), brief=_held)
def _cook_reading(entry: CookReading, zone: ZoneInfo) -> str:
    return parts(
        _("spit %(spit)s, bird %(bird)s", spit=entry.spit, bird=entry.bird),
        names.place_word(entry.place),
        held(entry.held_s),
    )


def held(seconds: Decimal | None) -> str:
    """Say for how long a reading was held; empty where nobody counted."""
    return "" if seconds is None else _("held for %(length)s", length=measures.duration(int(seconds)))


def _pulled(entry: SpitPulled, zone: ZoneInfo) -> str:
    return parts(
        _("tray %(value)s", value=short_name(entry.tray)) if entry.tray else "",
        *_unit_and_thrown(entry),
        "" if entry.ties_removed is None else _("ties: %(value)s", value=entry.ties_removed),
        "" if entry.skewers_removed is None else _("skewers: %(value)s", value=entry.skewers_removed),
    )


def _unit_and_thrown(entry: SpitPulled) -> tuple[str, str]:
    thrown = measures.joined([str(bird) for bird in entry.discarded_birds])
    return (
        _("unit %(value)s", value=entry.hot_unit) if entry.hot_unit else "",
        _("thrown away: bird %(birds)s", birds=thrown) if thrown else "",
    )


@says(SpitPulled, N_("Spit pulled"), brief=_pulled)
def _spit_pulled(entry: SpitPulled, zone: ZoneInfo) -> str:
    return parts(
        _("spit %(spit)s pulled", spit=entry.spit),
        _("into tray %(value)s", value=short_name(entry.tray)) if entry.tray else "",
        *_unit_and_thrown(entry),
        "" if entry.ties_removed is None else _("ties off: %(value)s", value=entry.ties_removed),
        "" if entry.skewers_removed is None else _("skewers off: %(value)s", value=entry.skewers_removed),
    )
