"""What the records owe: birds unaccounted for, a missing sign-off, an action not carried out, in sentences."""

from .. import measures, ways
from ..checks import check_words
from ..marking import N_
from ..marking import gettext as _
from .context import FindingContext
from .saying import says


@says("birds.balance", N_("birds accounted for"))
def _birds_balance(context: FindingContext) -> str:
    birds = measures.birds(context.measured["birds"])
    if context.finding.subject.kind == "spit":
        return _("At the end of the day the records still show %(birds)s on this spit.", birds=birds)
    return _(
        "At the end of the day the records still show %(birds)s in this tray, and its check or discard time had "
        "passed.",
        birds=birds,
    )


@says("record.sign_off_due", N_("sign-off"))
def _sign_off_due(context: FindingContext) -> str:
    return _("This day was not signed by %(due)s, the end of the next business day.", due=context.onset)


@says("record.late", N_("readings written in time"))
def _late(context: FindingContext) -> str:
    return _(
        "%(late)s of %(readings)s readings were written more than %(limit)s after they were seen.",
        late=context.measured["late"],
        readings=context.measured["readings"],
        limit=measures.minutes(context.limit["late_min"]),
    )


@says("checklist.done", N_("list made"))
def _checklist_done(context: FindingContext) -> str:
    wrong, missing = (_titles(context.measured[name]) for name in ("wrong", "missing"))
    said = [_("Answered no: %(items)s.", items=wrong)] if wrong else []
    if missing:
        said.append(_("Without an answer at the end of the day: %(items)s.", items=missing))
    return " ".join(said)


def _titles(items: list[str]) -> str:
    return "; ".join(check_words(item).title for item in items)


@says("action.done", N_("corrective action carried out"))
def _action_done(context: FindingContext) -> str:
    ordered = ways.disposition_word(context.limit["disposition"])
    birds = measures.birds(context.measured["birds"])
    if not context.is_not_met:
        return _(
            "At %(at)s the day ended. %(birds)s were still here; the order was: %(ordered)s.",
            at=context.onset,
            birds=birds,
            ordered=ordered,
        )
    return _(
        "At %(at)s %(birds)s went out (%(to)s). The order was: %(ordered)s.",
        at=context.onset,
        birds=birds,
        to=ways.to_word(context.measured["to"]),
        ordered=ordered,
    )


@says("aside.left", N_("food set aside"))
def _aside_left(context: FindingContext) -> str:
    return _(
        "Set aside since %(since)s. At %(at)s %(birds)s went out all the same (%(to)s).",
        since=context.time(context.measured["since"]),
        at=context.onset,
        birds=measures.birds(context.measured["birds"]),
        to=ways.to_word(context.measured["to"]),
    )
