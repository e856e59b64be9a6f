"""The page on plans names every setting and code, with the values that are in the files."""

import re
from pathlib import Path

import pytest

from app.register import setting_text
from app.rules.plans import plan
from app.rules.plans import settings as plan_settings
from tests.support.cast import DAY, OPENED

PLANS = (Path(__file__).parents[2] / "docs" / "plans.md").read_text("utf-8")
MARKS = {"guidance": " `g`", "house": " `h`"}


def own(code):
    return plan.resolve(plan.Adopted(1, code, (), "pat", OPENED), DAY)


def rows(text):
    """Cells of the table rows that begin with a code word."""
    return [
        [cell.strip() for cell in line.strip("|").split(" | ")] for line in text.splitlines() if line.startswith("| `")
    ]


COLUMNS = re.findall(r"`(\w+)`", next(line for line in PLANS.splitlines() if line.startswith("| setting | `")))
VALUES = {row[0]: row[1:] for row in rows(PLANS) if len(row) == 1 + len(COLUMNS)}


def test_every_code_has_a_column():
    assert sorted(COLUMNS) == list(plan.codes())


@pytest.mark.parametrize("name", plan_settings.SETTINGS)
def test_every_setting_is_explained(name):
    assert f"\n| `{name}` | " in PLANS


@pytest.mark.parametrize("code", plan.codes())
def test_the_table_shows_the_values_of_the_files(code):
    shown = {name.strip("`| "): cells[COLUMNS.index(code)] for name, cells in VALUES.items()}
    of = own(code)
    expected = {name: setting_text(getattr(of.limits, name)) + MARKS.get(of.sources[name].kind, "") for name in shown}
    assert {name: cell.strip(" |") for name, cell in shown.items()} == expected


def test_what_no_table_shows_by_code_is_the_same_in_all():
    shared = set(plan_settings.SETTINGS) - {name.strip("`| ") for name in VALUES}
    for name in shared:
        assert len({setting_text(getattr(own(code).limits, name)) for code in plan.codes()}) == 1, name
