"""What is said of a spit beside its verdict: the kitchen's own target, and the conditions of a table of times."""

from collections.abc import Iterable

from app.rules.day.subjects_shown import BirdState, SpitView, TableConditions
from app.rules.facts import Verdict
from app.rules.plans.limits import TemperatureLimit

from . import measures, names
from .marking import gettext as _


def still_on(spit: SpitView) -> str:
    """Give how many birds are on a spit yet: `3 birds still on`."""
    return _("%(birds)s still on", birds=measures.birds(spit.birds_on))


def beside_words(spit: SpitView) -> list[str]:
    """Give all that is said beside a spit's verdict; nothing for a plan with neither target nor table."""
    conditions = [f"{what}: {names.verdict_word(verdict)}" for verdict, what in condition_words(spit.conditions)]
    return [said for said in (target_words(spit.target, spit.states), *conditions) if said]


def target_words(target: TemperatureLimit | None, states: tuple[BirdState, ...]) -> str:
    """Give how many of the latest readings reach the kitchen's target, which is no limit; empty without a target."""
    if target is None or not states:
        return ""
    units = {state.entry.reading.unit for state in states}
    return _(
        "%(reached)s of %(read)s at the house goal of %(target)s",
        reached=sum(bool(state.on_target) for state in states),
        read=len(states),
        target=measures.limit(target, *(units if len(units) == 1 else ())),
    )


def condition_words(conditions: TableConditions | None) -> list[tuple[Verdict, str]]:
    """Give the conditions of the table that a plan rests on, each with what the records show of it."""
    if conditions is None:
        return []
    return [
        (conditions.humidity, _("humidity in the oven, for the table of times")),
        (conditions.come_up, _("time from 50 to 130 °F, for the table of times")),
    ]


def places_words(missing: Iterable[tuple[int, str]]) -> str:
    """Name places of birds: `bird 2, breast`; empty where there are none."""
    said = [_("bird %(bird)s, %(place)s", bird=bird, place=names.place_word(place)) for bird, place in missing]
    return measures.joined(said)
