"""What a reading means is made in the rules: nothing else compares one with a limit, or takes a limit from a plan."""

import ast
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from app.rules.plans.limits import Limits

ROOT = Path(__file__).parent.parent
COMPARING = {"at_or_above", "at_or_below", "in_unit"}
FROM_A_PLAN = COMPARING | {"limits"} | set(Limits.__dataclass_fields__)

ADOPTING = {
    "app/cli/plans.py": {"limits"},
    "app/logs/limits.py": {"limits"},
    "app/register/plans.py": {"limits"},
    "app/web/kitchen/from_paper.py": {"limits"},  # when its business day starts
    "app/web/setup/limit_forms.py": {"cook_core", "cook_humidity", "cook_table"},
    "app/web/setup/plan_changes.py": {"limits"},
    "app/register/relied_on.py": {"limits", "time_control_procedure"},
}
"""Where a plan itself is shown, typed and adopted, value by value and by name."""

TELLING = {"app/words/limit_sentences.py", "app/web/setup/begin.py", "app/logs/blank_form.py"} | {
    str(path.relative_to(ROOT)) for path in (ROOT / "app/logs/plan").glob("*.py")
}
"""Where a whole plan is told, as a document or to choose it: they name every limit, and compare nothing with one."""

WORDING = {"app/words/measures.py": {"in_unit"}, "app/logs/charts/drawing.py": {"in_unit"}}
"""Where a limit that the rules gave is printed, or drawn at its height."""

OF_ITS_OWN = {"controls", "day_starts"}
"""Names that are of more than plans."""

_ENVIRONMENT = Environment(extensions=["jinja2.ext.i18n"], autoescape=True)


def taken_in_module(text: str) -> set[str]:
    """Give what a module takes of a plan's limits, or compares with one."""
    found = {node.attr for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Attribute)}
    return found & FROM_A_PLAN - OF_ITS_OWN


def taken_in_template(text: str) -> set[str]:
    """Give what a template takes of a plan's limits, or compares with one."""
    tree = _ENVIRONMENT.parse(text)
    found = {node.attr for node in tree.find_all(nodes.Getattr)}
    found |= {node.arg.value for node in tree.find_all(nodes.Getitem) if isinstance(node.arg, nodes.Const)}
    return found & FROM_A_PLAN - OF_ITS_OWN


def modules() -> list[str]:
    """Give the modules outside of the rules."""
    paths = (str(path.relative_to(ROOT)) for path in (ROOT / "app").rglob("*.py"))
    return sorted(path for path in paths if not path.startswith("app/rules/"))


@pytest.mark.parametrize("path", modules())
def test_no_module_outside_the_rules_uses_a_limit(path: str) -> None:
    allowed = ADOPTING.get(path, set()) | WORDING.get(path, set())
    if path in TELLING:
        allowed |= FROM_A_PLAN - COMPARING
    assert taken_in_module((ROOT / path).read_text("utf-8")) <= allowed


@pytest.mark.parametrize("path", sorted(str(p.relative_to(ROOT)) for p in (ROOT / "templates").rglob("*.html")))
def test_no_template_uses_a_limit(path: str) -> None:
    assert taken_in_template((ROOT / path).read_text("utf-8")) == set()


PLANTED_VIEW = (
    "def is_hot(assessment, entry):\n    return assessment.plan.limits.hot_holding.F <= entry.reading.value\n"
)
PLANTED_CHART = "def draw(board, day):\n    board.draw_limit(day.plan.limits.cook_core, 'F')\n"
PLANTED_TEMPLATE = "{% if view.assessment.plan.limits.hot_holding.at_or_above(reading) %}{{ _('hot') }}{% endif %}"


@pytest.mark.parametrize("planted", [PLANTED_VIEW, PLANTED_CHART], ids=["view", "chart"])
def test_a_planted_use_is_found_in_a_module(planted: str) -> None:
    assert "limits" in taken_in_module(planted)


def test_a_planted_use_is_found_in_a_template() -> None:
    assert {"limits", "hot_holding", "at_or_above"} <= taken_in_template(PLANTED_TEMPLATE)
