"""Hot holding and time as the control, in sentences."""

from .. import measures, names
from ..marking import gettext as _
from .told import Sentence, Told


def _temperature(told: Told) -> str:
    return _(
        "%(temperature)s at %(at)s; the limit is %(limit)s. It may have been too cold since %(since)s.",
        temperature=told.temperature(),
        at=told.onset,
        limit=told.limit_degrees(),
        since=told.time(told.measured["since"]),
    )


def _time_out(told: Told) -> str:
    return _(
        "At %(at)s the food had been out of temperature for %(limit)s in all, with birds still in the tray.",
        at=told.onset,
        limit=measures.minutes(told.limit["band_discard_min"]),
    )


def _check_interval(told: Told) -> str:
    if told.finding.ended_at is None:
        return _("A check was due at %(due)s, and the records show none since.", due=told.onset)
    return _(
        "A check was due at %(due)s; the next reading came, or the tray was empty, at %(ended)s, %(late)s later.",
        due=told.onset,
        ended=told.time(told.finding.ended_at),
        late=measures.duration(told.measured["late_s"]),
    )


def _disposition(told: Told) -> str:
    return _(
        "At %(at)s %(birds)s went out (%(to)s) after %(out)s out of temperature; the plan does not allow that.",
        at=told.onset,
        birds=measures.birds(told.measured["birds"]),
        to=names.to_word(told.measured["to"]),
        out=measures.duration(told.measured["out_s"]),
    )


def _unit(told: Told) -> str:
    return _(
        "The unit read %(temperature)s; the limit for food is %(limit)s, and no tray in it was read in the next "
        "30 minutes.",
        temperature=told.temperature(),
        limit=told.limit_degrees(),
    )


def _time_control_start(told: Told) -> str:
    if told.is_not_met:
        return _(
            "Time control began at %(at)s on a last reading of %(temperature)s; it has to begin at %(limit)s or more.",
            at=told.onset,
            temperature=told.temperature(),
            limit=told.limit_degrees(),
        )
    return _(
        "Time control began at %(at)s, and no reading in the 15 minutes before shows %(limit)s or more.",
        at=told.onset,
        limit=told.limit_degrees(),
    )


def _time_control_mark(told: Told) -> str:
    limit = told.time(told.limit["discard_at"])
    marked = told.measured.get("marked_discard_by")
    if marked is None:
        return _("No discard time on the label is on record; the time allowed ends at %(limit)s.", limit=limit)
    return _("The label says %(marked)s; the time allowed ends at %(limit)s.", marked=told.time(marked), limit=limit)


def _time_control_procedure(told: Told) -> str:
    return _("The plan names no written procedure for time as the control.")


def _time_control_discard(told: Told) -> str:
    return _("The time allowed ended at %(at)s with birds still in the tray.", at=told.onset)


def _time_control_returned(told: Told) -> str:
    return _(
        "At %(at)s %(birds)s went out (%(to)s). Under time control only this is allowed: %(ways)s.",
        at=told.onset,
        birds=measures.birds(told.measured["birds"]),
        to=names.to_word(told.measured["to"]),
        ways=", ".join(names.to_word(way) for way in told.limit["ways_out"]),
    )


SENTENCES: dict[str, Sentence] = {
    "hold.temperature": _temperature,
    "hold.time_out": _time_out,
    "hold.check_interval": _check_interval,
    "hold.disposition": _disposition,
    "hold.unit": _unit,
    "time_control.start": _time_control_start,
    "time_control.mark": _time_control_mark,
    "time_control.procedure": _time_control_procedure,
    "time_control.discard": _time_control_discard,
    "time_control.returned": _time_control_returned,
}
