"""Answers to findings in the log: a release says whether it let go of anything.

9 CFR 417.3(b)(2) to (3): food is let go by a review of what the records show. They may show otherwise later.
"""

import pytest

from app.kinds import Entry
from app.logs.view import log_view
from tests.support.aside_story import TOO_FEW, key, released
from tests.support.cast import entry
from tests.support.story import out, told

FEW = key(TOO_FEW, "cook.core_temperature")
FORGOTTEN = entry("cook_reading", at="10:30", bird=2, temperature="149")
ALL_SOLD = out("5", "10:50")
NOTHING = "it has no effect: by the records as they are now, there was no food to release"


@pytest.mark.parametrize(
    ("besides", "at", "frees"),
    [([], "11:00", True), ([FORGOTTEN], "11:00", False), ([ALL_SOLD], "11:00", False), ([], "10:00", False)],
    ids=["what is there", "a reading written down later: under the limit", "nothing is left", "before the pull"],
)
def test_a_release_says_whether_it_frees_any_food(besides: list[Entry], at: str, frees: bool) -> None:
    view = log_view(told([*TOO_FEW, *besides, released(FEW, at)], as_of="12:00"))
    found = next(one for one in view.findings if one.key == FEW)
    assert (NOTHING not in " ".join(found.answers)) is frees
    assert [said.partition(":")[0] for said in found.checked] == ["Released" if frees else "Release without effect"]
