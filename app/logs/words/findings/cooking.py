"""Cooking, its start checks and its lots, in sentences."""

from app.logs.words import measures, names
from app.logs.words.checks import check_words
from app.logs.words.marking import gettext as _

from .told import Sentence, Told


def _core_temperature(told: Told) -> str:
    if told.is_not_met:
        return _low_bird(told)
    needed = told.limit.get("birds_probed")
    probed = told.measured.get("birds_probed", 0)
    if needed is not None and probed < needed:
        return _(
            "Pulled at %(pulled)s with %(probed)s probed; the plan asks for %(needed)s at %(limit)s or more.",
            pulled=told.onset,
            probed=measures.birds(probed),
            needed=measures.birds(needed),
            limit=_both(told),
        )
    return _(
        "Pulled at %(pulled)s without a reading for every place and dwell time that the plan asks for at %(limit)s.",
        pulled=told.onset,
        limit=_both(told),
    )


def _low_bird(told: Told) -> str:
    reading = next((entry for entry in told.entries if entry.kind == "cook_reading"), None)
    bird = told.measured.get("bird", reading.fields.get("bird") if reading else "?")
    place = told.measured.get("place", reading.fields.get("place", "") if reading else "")
    return _(
        "Pulled at %(pulled)s with bird %(bird)s at %(temperature)s in the %(place)s; the limit is %(limit)s.",
        pulled=told.onset,
        bird=bird,
        place=names.place_word(place),
        temperature=told.temperature(),
        limit=told.limit_degrees(),
    )


def _both(told: Told) -> str:
    return " / ".join(measures.degrees(told.limit[unit], unit) for unit in ("F", "C") if unit in told.limit)


def _interrupted(told: Told) -> str:
    return _(
        "The oven was out of use during this cook; from %(onset)s it was longer than the plan allows.", onset=told.onset
    )


def _start_checks(told: Told) -> str:
    answers = told.field("checks") or {}
    wrong = [check_words(item).title for item, answer in answers.items() if answer is False]
    if told.is_not_met and wrong:
        return _("Started at %(at)s although the answer was no: %(items)s.", at=told.onset, items="; ".join(wrong))
    missing = [check_words(str(item)).title for item in told.measured.get("missing", ())]
    if missing:
        return _("Started at %(at)s without an answer: %(items)s.", at=told.onset, items="; ".join(missing))
    return _("Started at %(at)s without an answer to every start check.", at=told.onset)


def _lot_known(told: Told) -> str:
    lot = told.measured.get("lot", told.field("lot"))
    if lot:
        return _("Birds of lot %(lot)s were loaded, and no delivery of that lot is on record.", lot=lot)
    return _("Birds were loaded without a lot, so they cannot be traced to a delivery.")


def _lot_rejected(told: Told) -> str:
    lot = told.measured.get("lot", told.field("lot"))
    use_by = told.measured.get("use_by", told.limit.get("use_by"))
    if use_by:
        return _(
            "Birds of lot %(lot)s were loaded after its use-by date, %(day)s.", lot=lot, day=measures.day_words(use_by)
        )
    return _("Birds of lot %(lot)s were loaded, and that lot was rejected on delivery.", lot=lot)


def _ties_balance(told: Told) -> str:
    if told.is_not_met:
        return _("Fewer ties or skewers came off than went on. One may still be in a bird: search before it is served.")
    return _("The ties and skewers that came off do not match those that went on, or were not counted.")


SENTENCES: dict[str, Sentence] = {
    "cook.core_temperature": _core_temperature,
    "cook.interrupted": _interrupted,
    "start.checks": _start_checks,
    "lot.known": _lot_known,
    "lot.rejected": _lot_rejected,
    "ties.balance": _ties_balance,
}
