"""What the rules take for the names of food is what the table of kinds lets an entry name."""

import pytest

from app.kinds.every_entry import FORMS
from app.kinds.form import Form
from app.rules.history.movements import NAMING

NAMES = {"load", "tray", "into", "batch", "reheat"}


@pytest.mark.parametrize("kind", FORMS.values(), ids=FORMS.keys())
def test_the_rules_know_which_names_of_food_a_kind_has(kind: Form) -> None:
    assert set(NAMING.get(kind.name, ())) == kind.all_fields().keys() & NAMES
