"""Receiving, cold storage and probes, in sentences."""

from app.rules.subjects.runs import LOOK_AGAIN

from .. import measures
from ..marking import N_, ngettext
from ..marking import gettext as _
from .context import FindingContext
from .saying import says


@says("cold.temperature", N_("cold holding"))
def _cold_temperature(context: FindingContext) -> str:
    values = {"temperature": context.temperature(), "at": context.onset, "limit": context.limit_degrees()}
    if context.is_not_met:
        return _("Food at %(temperature)s at %(at)s; the limit is %(limit)s.", **values)
    return _(
        "Air at %(temperature)s at %(at)s; the limit for food is %(limit)s, and no reading of the food in the next "
        "%(minutes)s minutes shows that it was kept.",
        minutes=measures.whole_minutes(LOOK_AGAIN),
        **values,
    )


@says("cold.check_interval", N_("cold unit checked"))
def _cold_check_interval(context: FindingContext) -> str:
    done = context.measured["checks"]
    return ngettext(
        "%(done)s check in the day; the plan asks for %(asked)s.",
        "%(done)s checks in the day; the plan asks for %(asked)s.",
        done,
        done=done,
        asked=context.limit["cold_checks_per_day"],
    )


@says("receive.temperature", N_("temperature on delivery"))
def _receive_temperature(context: FindingContext) -> str:
    if context.is_not_met:
        return _(
            "Accepted at %(temperature)s; the limit for a chilled delivery is %(limit)s.",
            temperature=context.temperature(),
            limit=context.limit_degrees(),
        )
    return _(
        "Accepted without a temperature; the limit for a chilled delivery is %(limit)s.", limit=context.limit_degrees()
    )


@says("probe.accuracy", N_("probe accuracy"))
def _probe_accuracy(context: FindingContext) -> str:
    if "no_display" in context.measured:
        return _("It was checked at %(at)s and its display showed nothing.", at=context.onset)
    unit = context.measured["unit"]
    return _(
        "It was checked at %(at)s and read %(temperature)s where %(reference)s was expected.",
        at=context.onset,
        temperature=context.temperature(),
        reference=measures.degrees(context.measured["reference"], unit),
    )


@says("probe.check_due", N_("probe checked"))
def _probe_check_due(context: FindingContext) -> str:
    return _(
        "%(used)s without a passed check that day, or in the %(hours)s hours before.",
        used=_used(context),
        hours=context.limit["valid_for_h"],
    )


@says("probe.out_of_use", N_("probe used after a failed check"))
def _probe_out_of_use(context: FindingContext) -> str:
    return _("%(used)s after it had failed a check and before it passed one.", used=_used(context))


def _used(context: FindingContext) -> str:
    readings = context.measured["readings"]
    return ngettext(
        "Used for %(count)s reading from %(at)s on",
        "Used for %(count)s readings from %(at)s on",
        readings,
        count=readings,
        at=context.onset,
    )


@says("probe.review", N_("readings of a probe that failed"))
def _probe_review(context: FindingContext) -> str:
    readings = context.measured["readings"]
    return ngettext(
        "%(count)s reading here was taken with probe %(probe)s, which failed its check at %(at)s. Without the probe's "
        "error it might not have met the limit.",
        "%(count)s readings here were taken with probe %(probe)s, which failed its check at %(at)s. Without the "
        "probe's error they might not have met the limit.",
        readings,
        count=readings,
        probe=context.measured["probe"],
        at=context.onset,
    )
