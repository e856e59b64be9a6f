"""Who may do what stands in one table: nothing else names a role, and every permission of it is asked for somewhere."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from app.kinds.permissions import LEFT_OUT, ROLES, WRITES, KnownBy, Permission, may, works_by_pin, writing
from app.ledger import KINDS
from app.models import Person

ROOT = Path(__file__).parent.parent
TEMPLATES = sorted((ROOT / "templates").rglob("*.html"))
MODULES = sorted((ROOT / "app").rglob("*.py"))
NAMING = {"app/kinds/permissions.py", "app/words/names.py"}
"""The table itself, and the words for roles."""

_ENVIRONMENT = Environment(extensions=["jinja2.ext.i18n"], autoescape=True)


def roles_in_module(text: str) -> set[str]:
    """Give the roles that a module names."""
    constants = (node.value for node in ast.walk(ast.parse(text)) if isinstance(node, ast.Constant))
    return {value for value in constants if isinstance(value, str) and value in ROLES}


def roles_in_template(text: str) -> set[str]:
    """Give the roles that the code of a template names; its words may say cook."""
    constants = (node.value for node in _ENVIRONMENT.parse(text).find_all(nodes.Const))
    return {value for value in constants if isinstance(value, str) and value in ROLES}


def asked_in_template(text: str) -> Iterator[str]:
    """Give the permissions that a template asks for."""
    for call in _ENVIRONMENT.parse(text).find_all(nodes.Call):
        if isinstance(call.node, nodes.Name) and call.node.name == "may":
            yield from (str(argument.as_const()) for argument in call.args)


def test_no_module_names_a_role_but_the_table_and_its_words() -> None:
    texts = {str(path.relative_to(ROOT)): path.read_text("utf-8") for path in MODULES}
    named = {(path, role) for path, text in texts.items() if path not in NAMING for role in roles_in_module(text)}
    assert named == set()


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_template_names_a_role(path: Path) -> None:
    assert roles_in_template(path.read_text("utf-8")) == set()


@pytest.mark.parametrize(
    "planted",
    [
        'may_sign = person.role == "in_charge"',
        'if role in ("cook", "in_charge"): pass',
        '@requires("in_charge")\ndef view(): ...',
        'match role:\n    case "in_charge": pass',
        'ALLOWED = {"in_charge": 1}',
    ],
)
def test_a_role_named_in_a_module_is_caught(planted: str) -> None:
    assert "in_charge" in roles_in_module(planted)


def test_a_role_named_in_a_template_is_caught() -> None:
    planted = '{% macro one(person) %}{% if person.role != "inspector" %}<p>cook</p>{% endif %}{% endmacro %}'
    assert roles_in_template(planted) == {"inspector"}


def test_templates_ask_for_permissions_that_there_are() -> None:
    asked = {name for path in TEMPLATES for name in asked_in_template(path.read_text("utf-8"))}
    assert {"sign_day", "review_action", "take_charge"} <= asked <= set(Permission)


def test_every_permission_is_asked_for_and_belongs_to_a_role() -> None:
    modules = "".join(path.read_text("utf-8") for path in MODULES if path.name != "permissions.py")
    asked = {one for one in Permission if f"Permission.{one.name}" in modules} | set(WRITES.values())
    assert asked == set(Permission)
    assert set().union(*ROLES.values()) == set(Permission)


def test_what_writing_takes_is_said_of_kinds_that_there_are() -> None:
    assert set(WRITES) <= set(KINDS)


def test_a_cook_writes_every_kind_but_those_of_who_is_in_charge() -> None:
    refused = {kind for kind in KINDS if not may("cook", writing(kind))}
    in_charge = {"action_verified", "in_charge_from", "release", "sign_off", "training", "week_sign_off"}
    assert refused == in_charge | {"work_observed", "plan_reassessed"}
    assert all(may("in_charge", writing(kind)) for kind in KINDS)
    assert not any(may("inspector", writing(kind)) for kind in KINDS)


def test_a_tablet_shows_nobodys_own_acceptance_or_signature() -> None:
    on_tablet = {kind for kind in KINDS if may("in_charge", writing(kind), KnownBy.TABLET)}
    assert set(KINDS) - on_tablet == {"action_verified", "release", "sign_off", "week_sign_off", "plan_reassessed"}


def test_how_somebody_is_known_leaves_out_and_never_adds() -> None:
    assert set(LEFT_OUT) == set(KnownBy)
    for role in ROLES:
        for known_by in KnownBy:
            assert {one for one in Permission if may(role, one, known_by)} == ROLES[role] - LEFT_OUT[known_by]


@pytest.mark.parametrize("role", [None, "", "owner"])
def test_an_unknown_role_may_do_nothing(role: str | None) -> None:
    assert not any(may(role, one) for one in Permission)


def test_names_of_roles_fit_the_column() -> None:
    longest = Person.__table__.c.role.type.length
    assert max(map(len, ROLES)) <= longest


def test_a_cook_alone_works_by_name_and_pin_without_a_password() -> None:
    assert [role for role in (*ROLES, "owner") if works_by_pin(role)] == ["cook"]
