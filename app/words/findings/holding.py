"""Hot holding and time as the control, in sentences."""

from app.rules.subjects.runs import LOOK_AGAIN
from app.rules.subjects.time_start import LAST_READING

from .. import measures, ways
from ..marking import N_
from ..marking import gettext as _
from .context import FindingContext
from .saying import says


@says("hold.temperature", N_("hot-holding temperature"))
def _temperature(context: FindingContext) -> str:
    return _(
        "%(temperature)s at %(at)s; the limit is %(limit)s. It may have been too cold since %(since)s.",
        temperature=context.temperature(),
        at=context.onset,
        limit=context.limit_degrees(),
        since=context.time(context.measured["since"]),
    )


@says("hold.time_out", N_("time out of temperature"))
def _time_out(context: FindingContext) -> str:
    return _(
        "At %(at)s the food had been out of temperature for %(limit)s in all, with birds still in the tray.",
        at=context.onset,
        limit=measures.minutes(context.limit["band_discard_min"]),
    )


@says("hold.check_interval", N_("hot-holding check on time"))
def _check_interval(context: FindingContext) -> str:
    if context.finding.ended_at is None:
        return _("A check was due at %(due)s, and the records show none since.", due=context.onset)
    return _(
        "A check was due at %(due)s; the next reading came, or the tray was empty, at %(ended)s, %(late)s later.",
        due=context.onset,
        ended=context.time(context.finding.ended_at),
        late=measures.duration(context.measured["late_s"]),
    )


@says("hold.disposition", N_("what the food was used for"))
def _disposition(context: FindingContext) -> str:
    return _(
        "At %(at)s %(birds)s went out (%(to)s) after %(out)s out of temperature; the plan does not allow that.",
        at=context.onset,
        birds=measures.birds(context.measured["birds"]),
        to=ways.to_word(context.measured["to"]),
        out=measures.duration(context.measured["out_s"]),
    )


@says("hold.unit", N_("hot-holding unit"))
def _unit(context: FindingContext) -> str:
    return _(
        "The unit read %(temperature)s; the limit for food is %(limit)s, and no tray in it was read in the next "
        "%(minutes)s minutes.",
        minutes=measures.whole_minutes(LOOK_AGAIN),
        temperature=context.temperature(),
        limit=context.limit_degrees(),
    )


@says("time_control.start", N_("temperature at the start of time control"))
def _time_control_start(context: FindingContext) -> str:
    if context.is_not_met:
        return _(
            "Time control began at %(at)s on a last reading of %(temperature)s; it has to begin at %(limit)s or more.",
            at=context.onset,
            temperature=context.temperature(),
            limit=context.limit_degrees(),
        )
    return _(
        "Time control began at %(at)s, and no reading in the %(minutes)s minutes before shows %(limit)s or more.",
        minutes=measures.whole_minutes(LAST_READING),
        at=context.onset,
        limit=context.limit_degrees(),
    )


@says("time_control.mark", N_("discard time on the label"))
def _time_control_mark(context: FindingContext) -> str:
    limit = context.time(context.limit["discard_at"])
    marked = context.measured.get("marked_discard_by")
    if marked is None:
        return _("No discard time on the label is on record; the time allowed ends at %(limit)s.", limit=limit)
    return _("The label says %(marked)s; the time allowed ends at %(limit)s.", marked=context.time(marked), limit=limit)


@says("time_control.procedure", N_("written procedure for time control"))
def _time_control_procedure(context: FindingContext) -> str:
    return _("The plan names no written procedure for time as the control.")


@says("time_control.discard", N_("emptied by the discard time"))
def _time_control_discard(context: FindingContext) -> str:
    return _("The time allowed ended at %(at)s with birds still in the tray.", at=context.onset)


@says("time_control.returned", N_("not put back under temperature control"))
def _time_control_returned(context: FindingContext) -> str:
    return _(
        "At %(at)s %(birds)s went out (%(to)s). Under time control only this is allowed: %(ways)s.",
        at=context.onset,
        birds=measures.birds(context.measured["birds"]),
        to=ways.to_word(context.measured["to"]),
        ways=", ".join(ways.to_word(way) for way in context.limit["ways_out"]),
    )
