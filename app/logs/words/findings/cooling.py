"""Cooling, date marks and reheating, in sentences."""

from app.logs.words import measures, names
from app.logs.words.marking import gettext as _

from .told import Sentence, Told


def _stage(told: Told) -> str:
    read = told.measured_temperature()
    if told.is_not_met and read:
        return _(
            "%(temperature)s, where it should have been down to %(limit)s by %(due)s.",
            temperature=read,
            limit=told.limit_degrees(),
            due=told.onset,
        )
    if told.is_not_met:
        return _("Not down to %(limit)s by %(due)s.", limit=told.limit_degrees(), due=told.onset)
    return _(
        "It should have been down to %(limit)s by %(due)s, and no reading shows that it was.",
        limit=told.limit_degrees(),
        due=told.onset,
    )


def _date_mark(told: Told) -> str:
    use_by = told.measured.get("use_by", told.limit.get("use_by"))
    if use_by is None:
        return _("Birds of this batch were still there, or were used, after the last day of its date mark.")
    return _("Birds of this batch were still there, or were used, after %(day)s.", day=measures.day_words(use_by))


def _reheat_temperature(told: Told) -> str:
    read = told.measured_temperature()
    if told.is_not_met and read:
        return _("Finished at %(temperature)s; the limit is %(limit)s.", temperature=read, limit=told.limit_degrees())
    return _("Finished at %(at)s without a reading; the limit is %(limit)s.", at=told.onset, limit=told.limit_degrees())


def _reheat_dwell(told: Told) -> str:
    return _("No reading shows that %(limit)s was held for as long as the plan asks.", limit=told.limit_degrees())


def _reheat_time(told: Told) -> str:
    return _("%(limit)s was not reached by %(due)s.", limit=told.limit_degrees(), due=told.onset)


def _action_done(told: Told) -> str:
    return _(
        "A corrective action said to discard these birds, and at %(at)s some went out (%(to)s).",
        at=told.onset,
        to=names.to_word(str(told.measured.get("to", ""))),
    )


SENTENCES: dict[str, Sentence] = {
    "cool.first_stage": _stage,
    "cool.total": _stage,
    "date_mark.passed": _date_mark,
    "reheat.temperature": _reheat_temperature,
    "reheat.dwell": _reheat_dwell,
    "reheat.time": _reheat_time,
    "action.done": _action_done,
}
