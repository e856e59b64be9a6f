"""Start, opening and closing checks: what is checked, why, and what to be careful of."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from types import MappingProxyType

from .marking import N_, say
from .marking import gettext as _

_ITEMS = {
    "water": N_("Water pan filled"),
    "grease": N_("Grease tray empty and in place"),
    "birds": N_("Birds thawed through, trussed and even in size"),
    "spits": N_("Spits balanced and locked in"),
    "hand_sink": N_("Hand sink: warm water, soap and towels"),
    "probe_wipes": N_("Probe wipes at hand"),
    "cold_units": N_("Cold units running and checked"),
    "hot_units": N_("Hot-holding units switched on and hot"),
    "food_put_away": N_("All food put away, covered and dated"),
    "grease_emptied": N_("Grease emptied"),
    "gas_off": N_("Gas off"),
    "probes_cleaned": N_("Probes cleaned and put away"),
}

_WHY = {
    "water": N_("A dry pan lets drippings burn and dries the birds."),
    "grease": N_("Hot grease that overflows can catch fire."),
    "birds": N_("A bird with ice inside is done later than the others. So is a much bigger one."),
    "spits": N_("A spit out of balance turns unevenly. A loose one can fall."),
    "hand_sink": N_("Nobody handles cooked birds without washed hands."),
    "probe_wipes": N_("A probe that goes from raw to cooked carries germs along."),
    "cold_units": N_("What was too warm overnight is found now, not at noon."),
    "hot_units": N_("A cold cabinet cools the first birds that go in."),
    "food_put_away": N_("Food left out overnight cannot be used."),
    "grease_emptied": N_("Grease left overnight attracts pests and can burn at the next start."),
    "gas_off": N_("A burner or pilot left on is a danger with nobody there."),
    "probes_cleaned": N_("A dirty probe spoils the next reading and the next bird."),
}

_CAUTIONS = {
    "water": N_("Never pour water on hot grease. Fill the pan while the oven is cold."),
    "grease": N_(
        "Empty it only when it is cold. In a grease fire start the hood's own system first. Turn "
        "off gas and heat, and keep the door shut. Then use a class K extinguisher, never water. If it burns on, leave "
        "and call the fire service."
    ),
    "birds": N_("Raw poultry carries germs: wash hands and change gloves before touching anything that is clean."),
    "spits": N_(
        "Hot spits, doors and drippings burn, and the points are sharp: heat-proof gloves, long sleeves. A loaded spit "
        "is heavy: lift it with two people, on a dry floor."
    ),
    "hot_units": N_("Hot surfaces and steam burn: open the door away from your face."),
    "grease_emptied": N_("Only when it is cold: hot grease burns. Never down the drain."),
    "gas_off": N_(
        "If you smell gas: light nothing and touch no switch, door or window. Leave, and call the gas company from "
        "outside."
    ),
}


@dataclass(frozen=True, slots=True)
class CheckWords:
    """How a check item is put to the person who checks: what, why, and the caution (both may be empty)."""

    name: str
    title: str
    why: str
    caution: str


_OWN: ContextVar[Mapping[str, str]] = ContextVar("check items of the kitchen's own", default=MappingProxyType({}))
"""What the kitchen calls them; like the reader's language, this is the same for all that is said in one answer."""


@contextmanager
def own_checks(titles: Mapping[str, str]) -> Iterator[None]:
    """Let the items that a kitchen made up itself be called what it calls them."""
    before = _OWN.set(titles)
    try:
        yield
    finally:
        _OWN.reset(before)


def show_own_checks(titles: Mapping[str, str]) -> None:
    """The same from now on, in this request; whoever ends the request calls it with nothing."""
    _OWN.set(titles)


def usual_checks() -> tuple[str, ...]:
    """Give the items that have words, and a reason, in every kitchen."""
    return tuple(_ITEMS)


def check_words(item: str) -> CheckWords:
    """Give the words of a check item; one of the kitchen's own has the kitchen's words, or is shown as it is."""
    why, caution = _WHY.get(item), _CAUTIONS.get(item)
    return CheckWords(
        item, _OWN.get().get(item) or say(_ITEMS, item), _(why) if why else "", _(caution) if caution else ""
    )


def check_answer(answer: bool | None) -> str:
    """Give the word for an answer: yes, no, or that it does not apply."""
    if answer is None:
        return _("does not apply")
    return _("yes") if answer else _("no")


def answers_words(answers: Mapping[str, bool | None]) -> str:
    """Give the answers of a checklist, the items of each answer together: `yes: Water tray, Grease tray`."""
    given: dict[str, list[str]] = {}
    for item, answer in answers.items():
        given.setdefault(check_answer(answer), []).append(check_words(item).title)
    return "; ".join(f"{answer}: {', '.join(titles)}" for answer, titles in given.items())


def answers_in_short(answers: Mapping[str, bool | None]) -> str:
    """Give the answers of a checklist whose items stand in the plan: in a few words where all are yes."""
    if not answers or not all(answers.values()):
        return answers_words(answers)
    return _("all %(count)s checks: yes", count=len(answers))


def gas_caution() -> str:
    """Give what to do about gas where an oven is lit, or is out: where the hand is."""
    return _(
        "A smell of gas when you light it: stop, light nothing, leave, and call from outside. "
        "No power, or the hood draws no air: turn the gas equipment off."
    )


def cautions() -> tuple[str, ...]:
    """Give the general cautions that stand on the log and beside the start of a load."""
    return (
        _(
            "Hot spits, drippings, doors and steam burn; gas and hot grease can catch fire. Follow the oven maker's "
            "instructions. Gas, electrical and hood work is for licensed people."
        ),
        gas_caution(),
        _(
            "This log says what the records show and no more. The local code, the regulatory authority and "
            "licensed professionals come first."
        ),
    )
