"""What the rules take for the names of food is what the table of kinds lets an entry name."""

import pytest

from app.kinds.table import KINDS, Kind, all_fields
from app.rules.history.movements import NAMING

NAMES = {"load", "tray", "into", "batch", "reheat"}


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS.keys())
def test_the_rules_know_which_names_of_food_a_kind_has(kind: Kind) -> None:
    assert set(NAMING.get(kind.name, ())) == all_fields(kind).keys() & NAMES
