"""Planted changes reach whoever calls the function, however it came by it (`make mutants`)."""

import importlib.util
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from tests.mutants import planting

SOURCE = """
from functools import cache
from app.kinds.form import once_a_kind

LIMIT = 4

def is_over(hours):
    return hours > LIMIT

@cache
def least():
    return min(3, LIMIT)

@once_a_kind
def words(kind):
    return [LIMIT, 7]

known_as = {"over": is_over}
"""


@pytest.fixture
def loaded(tmp_path: Path) -> Iterator[ModuleType]:
    """A module of its own."""
    path = tmp_path / "hours.py"
    path.write_text(SOURCE)
    spec = importlib.util.spec_from_file_location("hours", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    planting.survey.cache_clear()
    yield module
    planting.survey.cache_clear()


def test_a_change_in_a_function_reaches_who_has_it_already(loaded: ModuleType) -> None:
    has_it = loaded.known_as["over"]
    assert not has_it(4)
    assert planting.plant(str(loaded.__file__), SOURCE.replace("hours > LIMIT", "hours >= LIMIT"))
    assert has_it(4)


def test_what_was_kept_from_before_is_forgotten(loaded: ModuleType) -> None:
    assert loaded.least() == 3
    planting.plant(str(loaded.__file__), SOURCE.replace("min(3, LIMIT)", "max(3, LIMIT)"))
    assert loaded.least() == 4


def test_so_is_what_was_kept_for_each_kind_of_entry(loaded: ModuleType) -> None:
    assert loaded.words(str) == [4, 7]
    planting.plant(str(loaded.__file__), SOURCE.replace("[LIMIT, 7]", "[LIMIT, 8]"))
    assert loaded.words(str) == [4, 8]


def test_a_change_outside_of_functions_wants_the_file_loaded_anew(loaded: ModuleType) -> None:
    assert not planting.plant(str(loaded.__file__), SOURCE.replace("LIMIT = 4", "LIMIT = 5"))


def test_the_code_as_it_is_changes_nothing(loaded: ModuleType) -> None:
    assert not planting.plant(str(loaded.__file__), SOURCE)


# ---- which changes are planted (by cosmic-ray's operators, where `make mutants` has installed them) ------------------


def planted(source: str) -> set[str]:
    """Give every changed version of a source."""
    pytest.importorskip("cosmic_ray")
    from cosmic_ray.ast import ast_nodes, get_ast
    from cosmic_ray.mutating import mutate_code

    from tests.mutants.operators import operators

    return {
        mutate_code(source, operator, number)
        for operator in operators().values()
        for number, _ in enumerate(
            place for node in ast_nodes(get_ast(source)) for place in operator.mutation_positions(node)
        )
    }


@pytest.mark.parametrize(
    ("source", "changed"),
    [
        ("a < b\n", {"a <= b\n", "a != b\n", "a >= b\n"}),
        ("a * b\n", {"a / b\n"}),
        ("min(a)\n", {"max(a)\n"}),
        ("a in b\n", {"a not in b\n"}),
        ("def f():\n    a.b = c\n", {"def f():\n    pass\n"}),
        ("def f():\n    a(b)\n", {"def f():\n    pass\n"}),
        ("def f():\n    a = b\n", set()),
        ("def f():\n    a, b = c\n", set()),
    ],
)
def test_a_change_asks_something(source: str, changed: set[str]) -> None:
    assert planted(source) == changed


@pytest.mark.parametrize(
    "source",
    [
        *("def f(a, *, b): pass\n", "f(*a)\n", "{**a}\n", "f(**a)\n", "[*a]\n", "if TYPE_CHECKING: pass\n"),
        *("@dataclass(frozen=True)\nclass A: pass\n", "zip(a, b, strict=True)\n", "a = field(repr=False)\n"),
    ],
)
def test_what_is_only_form_is_left_as_it_is(source: str) -> None:
    assert planted(source) == set()
