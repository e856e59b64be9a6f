"""The parts of a plan that the kitchen writes itself: what they are called, and what belongs into each."""

from collections.abc import Mapping

from .marking import N_, say

_TITLES: Mapping[str, str] = {
    "team": N_("Who made this plan"),
    "product": N_("The food, and who eats it"),
    "flow": N_("How the work flows here"),
    "recipes": N_("Ingredients and recipes"),
    "premises": N_("The premises"),
    "time_control": N_("The written procedure for time as the control"),
    "training": N_("How people are trained"),
    "records": N_("How long records are kept, and where"),
    "validation": N_("What shows that the limits work here"),
}

_ASKS: Mapping[str, str] = {
    "team": N_("Names, what each knows, and who helped from outside."),
    "product": N_("What is sold, how it is packed, how long it keeps, and who eats it: anybody, children, a hospital."),
    "flow": N_(
        "What differs here from the steps of this plan; who walked through the kitchen to confirm them, and when."
    ),
    "recipes": N_("Brines, rubs and sauces, with weights of birds and where the ingredients come from."),
    "premises": N_("Rooms, sinks, the way from raw to cooked, and a plan of the rooms as a picture."),
    "time_control": N_("Which food, how it is marked, who looks at the clock, and what is done when it is over."),
    "training": N_("What cooks and people in charge are taught, by whom, and how often again."),
    "records": N_("For how long the authority asks for them, and where copies lie."),
    "validation": N_("Tests, letters and studies that show that food is cooked and held as this plan says."),
}


def plan_text_title(part: str) -> str:
    """Give the heading of a part that the kitchen writes."""
    return say(_TITLES, part)


def plan_text_asks(part: str) -> str:
    """Say what belongs into a part."""
    return say(_ASKS, part)
