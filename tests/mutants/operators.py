"""The changes that are planted: cosmic-ray's operators as far as each asks something of its own, and three of ours.

A comparison is moved by one step and turned round (of all its replacements these ask the most: Kaminski, Ammann and
Offutt, "Improving logic-based testing", 2013). Left out is what only breaks the program (a `**` that unpacks), changes
a signature's lone `*` or a type hint (`if TYPE_CHECKING`), says how a value is kept (`@dataclass(frozen=True)`), or
takes the guard of a `zip` away (`strict=True`).
"""

from collections.abc import Iterator
from typing import Any

import parso
from cosmic_ray import plugins
from cosmic_ray.operators.operator import Operator
from parso.python.tree import search_ancestor

_COMPARISONS = {
    "Lt": ("LtE", "NotEq", "GtE"),
    "LtE": ("Lt", "Eq", "Gt"),
    "Gt": ("GtE", "NotEq", "LtE"),
    "GtE": ("Gt", "Eq", "Lt"),
    "Eq": ("NotEq",),
    "NotEq": ("Eq",),
    "Is": ("IsNot",),
    "IsNot": ("Is",),
}
_ARITHMETIC = {"Add": "Sub", "Sub": "Add", "Mul": "Div", "Div": "Mul", "FloorDiv": "Mul", "Mod": "Mul", "Pow": "Mul"}
_OTHERS = (
    *("AddNot", "ReplaceAndWithOr", "ReplaceOrWithAnd", "ReplaceTrueWithFalse", "ReplaceFalseWithTrue"),
    *("NumberReplacer", "ReplaceUnaryOperator_Delete_Not", "ReplaceUnaryOperator_Delete_USub"),
    *("ReplaceBreakWithContinue", "ReplaceContinueWithBreak", "ZeroIterationForLoop"),
)

_OTHER_FUNCTION = {"min": "max", "max": "min", "any": "all", "all": "any"}

_CALCULATED = {"arith_expr", "term", "power"}
"""What a sign stands in where it calculates; cosmic-ray takes every sign that it does not know for such."""

Position = tuple[tuple[int, int], tuple[int, int]]
"""Line and column where a change begins and ends."""


class _Replace(Operator):
    """Puts something else in the place of a node, found by `_fits`."""

    def mutation_positions(self, node: Any) -> Iterator[Position]:
        """Give the places where this fits."""
        if self._fits(node):
            yield node.start_pos, node.end_pos

    def mutate(self, node: Any, index: int) -> Any:
        """Give the node that takes its place."""
        raise NotImplementedError

    def _fits(self, node: Any) -> bool:
        raise NotImplementedError

    @classmethod
    def examples(cls) -> tuple[()]:
        """Give none; the tests of this tool have them."""
        return ()


class LeaveOutStatement(_Replace):
    """Leaves out a call that stands for itself, or an assignment to what outlives the function's own names."""

    def _fits(self, node: Any) -> bool:
        if node.type != "simple_stmt" or search_ancestor(node, "funcdef") is None:
            return False
        first = node.children[0]
        if first.type == "expr_stmt":
            target, sign = first.children[0].type, first.children[1].get_code().strip()
            return target in {"atom_expr", "power"} or sign in {"+=", "-=", "|=", "&="}
        return first.type in {"atom_expr", "power"}

    def mutate(self, node: Any, index: int) -> Any:
        """Put `pass` there."""
        node.children[0] = parso.parse(f"{node.children[0].get_first_leaf().prefix}pass")
        return node


class SwapFunction(_Replace):
    """Takes the other one: the least for the greatest, any for all."""

    def _fits(self, node: Any) -> bool:
        called = node.type == "name" and node.value in _OTHER_FUNCTION and node.get_next_leaf().value == "("
        before = node.get_previous_leaf() if called else None
        return bool(called and (before is None or before.value != "."))

    def mutate(self, node: Any, index: int) -> Any:
        """Write the other name."""
        node.value = _OTHER_FUNCTION[node.value]
        return node


class SwapContains(_Replace):
    """Turns `in` and `not in` round."""

    def _fits(self, node: Any) -> bool:
        return node.type == "comparison" and node.children[1].get_code().strip() in {"in", "not in"}

    def mutate(self, node: Any, index: int) -> Any:
        """Write the other one."""
        other = " not in" if node.children[1].get_code().strip() == "in" else " in"
        node.children[1] = parso.parse(other)
        return node


class _Asking(Operator):
    """One of cosmic-ray's operators, kept to the places where it asks something of the rules."""

    def __init__(self, operator: Operator) -> None:
        self._operator = operator

    def mutation_positions(self, node: Any) -> Iterator[Position]:
        """Give the operator's places, without those that ask nothing."""
        if not _is_only_form(node):
            yield from self._operator.mutation_positions(node)

    def mutate(self, node: Any, index: int) -> Any:
        """Give what the operator puts in the place of a node."""
        return self._operator.mutate(node, index)

    @classmethod
    def examples(cls) -> tuple[()]:
        """Give none; cosmic-ray has them."""
        return ()


def _is_only_form(node: Any) -> bool:
    if node.type == "operator" and node.value in {"*", "**", "/"}:
        return node.parent.type not in _CALCULATED
    if node.type == "if_stmt":
        return bool(node.children[1].get_code().strip() == "TYPE_CHECKING")
    if node.type == "keyword":
        decorator = search_ancestor(node, "decorator")
        is_kept = decorator is not None and decorator.get_code().lstrip().startswith("@dataclass(")
        return is_kept or node.parent.get_code().strip().startswith(("strict=", "repr=", "compare="))
    return False


def operators() -> dict[str, Operator]:
    """Give every operator by name."""
    names = [f"ReplaceComparisonOperator_{one}_{other}" for one, others in _COMPARISONS.items() for other in others]
    names += [f"ReplaceBinaryOperator_{one}_{other}" for one, other in _ARITHMETIC.items()]
    found = {name: _Asking(plugins.get_operator(f"core/{name}")()) for name in (*names, *_OTHERS)}
    return found | {one.__name__: one() for one in (LeaveOutStatement, SwapFunction, SwapContains)}
