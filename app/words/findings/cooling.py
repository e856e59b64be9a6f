"""Cooling, date marks and reheating, in sentences."""

from .. import measures
from ..marking import gettext as _
from .told import Sentence, Told


def _stage(told: Told) -> str:
    values = {"limit": told.limit_degrees(), "due": told.onset}
    if not told.is_not_met:
        return _("It has to be down to %(limit)s by %(due)s, and no reading shows that it was.", **values)
    if told.temperature():
        return _("%(temperature)s, where %(limit)s was due by %(due)s.", temperature=told.temperature(), **values)
    return _("Not down to %(limit)s by %(due)s.", **values)


def _date_mark(told: Told) -> str:
    return _(
        "Birds of this batch were still there, or were used, after %(day)s.",
        day=measures.day_words(told.limit["use_by"]),
    )


def _reheat_temperature(told: Told) -> str:
    if told.is_not_met:
        return _(
            "Done at %(at)s with a last reading of %(temperature)s; the limit is %(limit)s.",
            at=told.onset,
            temperature=told.temperature(),
            limit=told.limit_degrees(),
        )
    return _("Done at %(at)s without a reading; the limit is %(limit)s.", at=told.onset, limit=told.limit_degrees())


def _reheat_dwell(told: Told) -> str:
    return _("No reading shows that the limit was held for %(needed)s.", needed=measures.duration(told.limit["held_s"]))


def _reheat_time(told: Told) -> str:
    return _(
        "The limit was not reached within %(allowed)s, by %(due)s.",
        allowed=measures.minutes(told.limit["reheat_min"]),
        due=told.onset,
    )


SENTENCES: dict[str, Sentence] = {
    "cool.first_stage": _stage,
    "cool.total": _stage,
    "date_mark.passed": _date_mark,
    "reheat.temperature": _reheat_temperature,
    "reheat.dwell": _reheat_dwell,
    "reheat.time": _reheat_time,
}
