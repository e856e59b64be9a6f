"""Hot holding and time as the control, in sentences."""

from app.logs.words import measures, names
from app.logs.words.marking import gettext as _

from .told import Sentence, Told


def _temperature(told: Told) -> str:
    values = {"temperature": told.temperature(), "at": told.onset, "limit": told.limit_degrees()}
    since = told.measured.get("since")
    if since is None:
        return _("%(temperature)s at %(at)s; the limit is %(limit)s.", **values)
    return _(
        "%(temperature)s at %(at)s; the limit is %(limit)s. It may have been too cold since %(since)s.",
        since=told.time(since),
        **values,
    )


def _time_out(told: Told) -> str:
    return _(
        "At %(at)s the food had been out of temperature for %(limit)s in all, with birds still in the tray.",
        at=told.onset,
        limit=_band_limit(told),
    )


def _band_limit(told: Told) -> str:
    limits = told.limit
    if "minutes" in limits:
        return measures.minutes(int(limits["minutes"]))
    return measures.minutes(told.plan.limits.band_discard_min)


def _check_interval(told: Told) -> str:
    if told.finding.ended_at is None:
        return _("A check was due at %(due)s and there is none yet.", due=told.onset)
    return _(
        "A check was due at %(due)s; the next reading came, or the tray was emptied, at %(ended)s.",
        due=told.onset,
        ended=told.time(told.finding.ended_at),
    )


def _disposition(told: Told) -> str:
    return _(
        "At %(at)s birds went out (%(to)s) although they had been out of temperature too long for that.",
        at=told.onset,
        to=names.to_word(str(told.measured.get("to", told.field("to")))),
    )


def _unit(told: Told) -> str:
    return _(
        "The air was at %(temperature)s; the limit for food is %(limit)s, and no tray in it was read in the next "
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
    return _("Time control began at %(at)s without a reading in the 15 minutes before.", at=told.onset)


def _time_control_mark(told: Told) -> str:
    marked = told.measured.get("marked_discard_by", told.field("marked_discard_by"))
    if marked is None:
        return _("No discard time was written on the label.")
    limit = told.limit.get("discard_at")
    if limit is None:
        return _("The label says %(marked)s, which is later than the time allowed.", marked=told.time(marked))
    return _(
        "The label says %(marked)s; the time allowed ends at %(limit)s.",
        marked=told.time(marked),
        limit=told.time(limit),
    )


def _time_control_procedure(told: Told) -> str:
    return _("The plan names no written procedure for time as the control.")


def _time_control_discard(told: Told) -> str:
    return _("The time allowed ended at %(at)s with birds still in the tray.", at=told.onset)


def _time_control_returned(told: Told) -> str:
    return _(
        "At %(at)s birds under time control went out (%(to)s); they can only be served, prepared, donated or "
        "discarded.",
        at=told.onset,
        to=names.to_word(str(told.measured.get("to", told.field("to")))),
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
