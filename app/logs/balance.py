"""The day's balance of birds: how many were loaded, where they went, what came in and went on to the next day."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal

from app import words
from app.kinds import Subject
from app.rules.day.shown import Assessment
from app.words.marking import N_, say
from app.words.marking import gettext as _

_BIRDS = {
    "loaded": N_("loaded on spits"),
    "pulled": N_("pulled"),
    "served": N_("served"),
    "prepared": N_("prepared"),
    "donated": N_("donated"),
    "discarded": N_("thrown away"),
    "chilled": N_("chilled"),
    "reheated": N_("reheated"),
    "returned_to_oven": N_("returned to the oven"),
    "left": N_("held"),
}


def birds_moved(assessment: Assessment) -> tuple[tuple[str, str], ...]:
    """Give each way birds went on the day, and how many."""
    # What is left on paper is what this day left, not what the kitchen holds by the time it is printed.
    birds = replace(assessment.birds, left=sum(assessment.carried_out.values(), Decimal(0)))
    return tuple((say(_BIRDS, name), words.bird_count(getattr(birds, name))) for name in _BIRDS)


def carried_words(carried: Mapping[Subject, Decimal]) -> tuple[str, ...]:
    """Give what held birds over the end of a day, with how many."""
    return tuple(
        _("%(subject)s: %(birds)s", subject=words.subject_words(subject), birds=words.birds(held))
        for subject, held in carried.items()
    )
