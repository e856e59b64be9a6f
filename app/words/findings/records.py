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
    return _(
        "A corrective action said to discard these birds; from %(at)s on %(birds)s went out (%(to)s).",
        at=told.onset,
        birds=measures.birds(told.measured["birds"]),
        to=names.to_word(told.measured["to"]),
    )


SENTENCES: dict[str, Sentence] = {
    "birds.balance": _birds_balance,
    "record.sign_off_due": _sign_off_due,
    "action.done": _action_done,
}
