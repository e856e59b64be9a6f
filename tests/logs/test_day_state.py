"""How a day stands, said in a sentence: what is still to do before it can be signed."""

from typing import Any

import pytest

from app import words
from app.kinds import Subject

_NOTHING: dict[str, Any] = {
    "to_answer": 0,
    "to_review": 0,
    "running": 0,
    "aside": (),
    "is_ready": False,
    "is_signed": False,
    "is_stale": False,
}


@pytest.mark.parametrize(
    ("counted", "said"),
    [
        ({"to_answer": 1}, "1 finding to answer; then it can be signed."),
        ({"to_answer": 3, "running": 2}, "3 findings to answer, 2 still running; then it can be signed."),
        ({"to_review": 1}, "1 action to review; then it can be signed."),
        ({"to_answer": 2, "to_review": 2, "running": 1}, "2 findings to answer, 2 actions to review, 1 still"),
        ({"is_ready": True}, "Ready to be signed."),
        ({"is_ready": True, "is_stale": True}, "Changed since it was signed. Sign it again."),
        ({"is_stale": True, "to_answer": 1}, "1 finding to answer; then it can be signed."),
        ({"is_signed": True}, "Signed. Nothing is owed."),
        ({}, "It cannot be signed yet."),
    ],
)
def test_a_day_says_what_it_still_owes(counted: dict[str, Any], said: str) -> None:
    assert words.day_state_words(words.DayState(**{**_NOTHING, **counted})).startswith(said)


def test_food_that_is_set_aside_is_named() -> None:
    aside = (Subject("tray", "A-T1"), Subject("batch", "A-B1"))
    state = words.DayState(**{**_NOTHING, "is_ready": True, "aside": aside})
    assert words.day_state_words(state) == "Ready to be signed. Set aside: tray A-T1 and batch A-B1."
