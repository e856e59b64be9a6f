"""Cooking, its start checks, its lots, its ties and skewers, in sentences."""

from app.kinds import CookReading, of_kind, value_of
from app.rules.meaning.cooking import places

from .. import measures, names
from ..checks import check_words
from ..marking import N_
from ..marking import gettext as _
from ..spits import places_words
from .context import FindingContext
from .saying import says


@says("cook.core_temperature", N_("core temperature when pulled"))
def _core_temperature(context: FindingContext) -> str:
    if "temperature" in context.measured:
        return _(
            "Pulled at %(pulled)s with bird %(bird)s at %(temperature)s in the %(place)s; the limit is %(limit)s.",
            pulled=context.onset,
            bird=context.measured["bird"],
            place=names.place_word(context.measured["place"]),
            temperature=context.temperature(),
            limit=context.limit_degrees(),
        )
    probed, needed = context.measured["birds_probed"], context.limit["birds_probed"]
    if probed < needed:
        return _(
            "Pulled at %(pulled)s with %(probed)s probed; the plan asks for %(needed)s at %(limit)s or more.",
            pulled=context.onset,
            probed=measures.birds(probed),
            needed=measures.birds(needed),
            limit=context.limit_degrees(),
        )
    if said := _table_conditions(context):
        return said
    if places := _places_not_probed(context):
        return _("Pulled at %(pulled)s. Not probed: %(places)s.", pulled=context.onset, places=places)
    return _(
        "Pulled at %(pulled)s. Not every bird was held at %(limit)s for as long as the plan asks.",
        pulled=context.onset,
        limit=context.limit_degrees(),
    )


def _places_not_probed(context: FindingContext) -> str:
    """Name the birds that were probed and lack a place that the plan asks for: `bird 2, breast`."""
    subject = context.finding.subject
    load = next((one for one in context.assessment.loads if one.load == subject.name), None)
    probed = {(one.bird, one.place) for one in of_kind(context.entries, CookReading)}
    birds = sorted({bird for bird, _place in probed})
    missing = [
        (bird, place) for bird in birds for place in (places(load) if load else ()) if (bird, place) not in probed
    ]
    return places_words(missing)


def _table_conditions(context: FindingContext) -> str:
    """Say what is wrong with the conditions of the table that the plan rests on; empty where they are met."""
    if context.measured.get("come_up") == "not_met":
        return _(
            "Pulled at %(pulled)s. The birds took longer from 50 to 130 °F than the table of times that this plan "
            "rests on allows.",
            pulled=context.onset,
        )
    if context.measured.get("humidity") == "not_met":
        return _(
            "Pulled at %(pulled)s. The oven was less humid than the table of times that this plan rests on asks for.",
            pulled=context.onset,
        )
    if "not_shown" in (context.measured.get("come_up"), context.measured.get("humidity")):
        return _(
            "Pulled at %(pulled)s. The plan rests on a table of times, and the records do not show what that table "
            "asks for besides: %(conditions)s.",
            pulled=context.onset,
            conditions=measures.joined(_conditions_not_shown(context)),
        )
    return ""


def _conditions_not_shown(context: FindingContext) -> list[str]:
    named = {"humidity": _("how humid the oven was"), "come_up": _("how long the birds took from 50 to 130 °F")}
    return [words for name, words in named.items() if context.measured.get(name) == "not_shown"]


@says("cook.interrupted", N_("cooking interrupted"))
def _interrupted(context: FindingContext) -> str:
    return _(
        "The oven was out of use for %(out)s during this cook; the plan allows %(limit)s.",
        out=measures.duration(context.measured["out_s"]),
        limit=measures.minutes(context.limit["interruption_min"]),
    )


@says("start.checks", N_("checks before the start"))
def _start_checks(context: FindingContext) -> str:
    wrong, missing = (_titles(context.measured[name]) for name in ("wrong", "missing"))
    if wrong and missing:
        return _(
            "Started at %(at)s although the answer was no: %(wrong)s; and without an answer: %(missing)s.",
            at=context.onset,
            wrong=wrong,
            missing=missing,
        )
    if wrong:
        return _("Started at %(at)s although the answer was no: %(wrong)s.", at=context.onset, wrong=wrong)
    return _("Started at %(at)s without an answer: %(missing)s.", at=context.onset, missing=missing)


def _titles(items: list[str]) -> str:
    return "; ".join(check_words(item).title for item in items)


@says("lot.known", N_("lot received"))
def _lot_known(context: FindingContext) -> str:
    lot = context.measured.get("lot")
    if lot is not None:
        return _("Birds of lot %(lot)s were loaded, and no delivery of that lot is on record.", lot=lot)
    return _("Birds were loaded without a lot, so the records do not lead back to a delivery.")


@says("lot.rejected", N_("lot accepted and in date"))
def _lot_rejected(context: FindingContext) -> str:
    lot = context.measured["lot"]
    if any(value_of(entry, "decision") == "accepted" for entry in context.entries) and "use_by" in context.limit:
        use_by = measures.day_words(context.limit["use_by"])
        return _("Birds of lot %(lot)s were loaded after its use-by date, %(day)s.", lot=lot, day=use_by)
    return _("Birds of lot %(lot)s were loaded, and that lot was rejected on delivery.", lot=lot)


@says("ties.balance", N_("ties and skewers accounted for"))
def _ties_balance(context: FindingContext) -> str:
    counts = [_counted(context, what) for what in ("ties", "skewers")]
    said = ". ".join(count for count in counts if count)
    if context.is_not_met:
        return _("%(counts)s. What is missing may be in a bird: search before it is served.", counts=said)
    return _("%(counts)s.", counts=said)


def _counted(context: FindingContext, what: str) -> str:
    on, off = context.limit.get(f"{what}_on"), context.measured.get(f"{what}_off")
    if on is None and off is None:
        return ""
    nothing = _("not counted")
    words = {"on": nothing if on is None else on, "off": nothing if off is None else off}
    if what == "ties":
        return _("Ties on: %(on)s, off: %(off)s", **words)
    return _("Skewers on: %(on)s, off: %(off)s", **words)
