"""Cooling, date marks and reheating, in sentences."""

from .. import measures
from ..marking import N_
from ..marking import gettext as _
from .context import FindingContext
from .saying import says


@says("cool.first_stage", N_("cooling, first stage"))
@says("cool.total", N_("cooling, second stage"))
def _stage(context: FindingContext) -> str:
    values = {"limit": context.limit_degrees(), "due": context.onset}
    if not context.is_not_met:
        return _("It has to be down to %(limit)s by %(due)s, and no reading shows that it was.", **values)
    if context.temperature():
        return _("%(temperature)s, where %(limit)s was due by %(due)s.", temperature=context.temperature(), **values)
    return _("Not down to %(limit)s by %(due)s.", **values)


@says("date_mark.passed", N_("used by its date"))
def _date_mark(context: FindingContext) -> str:
    return _(
        "Birds of this batch were still there, or were used, after %(day)s.",
        day=measures.day_words(context.limit["use_by"]),
    )


@says("reheat.temperature", N_("reheating temperature"))
def _reheat_temperature(context: FindingContext) -> str:
    if context.is_not_met:
        return _(
            "Done at %(at)s with a last reading of %(temperature)s; the limit is %(limit)s.",
            at=context.onset,
            temperature=context.temperature(),
            limit=context.limit_degrees(),
        )
    return _(
        "Done at %(at)s without a reading; the limit is %(limit)s.", at=context.onset, limit=context.limit_degrees()
    )


@says("reheat.dwell", N_("reheating temperature held"))
def _reheat_dwell(context: FindingContext) -> str:
    return _(
        "No reading shows that the limit was held for %(needed)s.", needed=measures.duration(context.limit["held_s"])
    )


@says("reheat.time", N_("reheated in time"))
def _reheat_time(context: FindingContext) -> str:
    return _(
        "The limit was not reached within %(allowed)s, by %(due)s.",
        allowed=measures.minutes(context.limit["reheat_min"]),
        due=context.onset,
    )
