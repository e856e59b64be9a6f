"""What the records owe: birds unaccounted for, a missing sign-off, an action not carried out, in sentences."""

from .. import measures, names
from ..marking import gettext as _
from .told import Sentence, Told


def _birds_balance(told: Told) -> str:
    birds = measures.birds(told.measured["birds"])
    if told.finding.subject.kind == "spit":
        return _("At the end of the day the records still show %(birds)s on this spit.", birds=birds)
    return _(
        "At the end of the day the records still show %(birds)s in this tray, and its check or discard time had "
        "passed.",
        birds=birds,
    )


def _sign_off_due(told: Told) -> str:
    return _("This day was not signed by %(due)s, the end of the next business day.", due=told.onset)


def _action_done(told: Told) -> str:
    ordered = names.disposition_word(told.limit["disposition"])
    birds = measures.birds(told.measured["birds"])
    if not told.is_not_met:
        return _(
            "At %(at)s the day ended. %(birds)s were still here; the order was: %(ordered)s.",
            at=told.onset,
            birds=birds,
            ordered=ordered,
        )
    return _(
        "At %(at)s %(birds)s went out (%(to)s). The order was: %(ordered)s.",
        at=told.onset,
        birds=birds,
        to=names.to_word(told.measured["to"]),
        ordered=ordered,
    )


def _aside_left(told: Told) -> str:
    return _(
        "Set aside since %(since)s. At %(at)s %(birds)s went out all the same (%(to)s).",
        since=told.time(told.measured["since"]),
        at=told.onset,
        birds=measures.birds(told.measured["birds"]),
        to=names.to_word(told.measured["to"]),
    )


SENTENCES: dict[str, Sentence] = {
    "birds.balance": _birds_balance,
    "record.sign_off_due": _sign_off_due,
    "action.done": _action_done,
    "aside.left": _aside_left,
}
