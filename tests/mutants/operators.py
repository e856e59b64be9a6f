"""The changes that are planted: cosmic-ray's operators as far as each asks something of its own, and three of ours.

A comparison is moved by one step and turned round (of all its replacements these ask the most: Kaminski, Ammann and
Offutt, "Improving logic-based testing", 2013). Left out are those that only break the program or change a type hint.
"""

from collections.abc import Iterator
from typing import Any

import parso
from cosmic_ray import plugins
from cosmic_ray.operators.operator import Operator

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
        if node.type != "simple_stmt" or parso.python.tree.search_ancestor(node, "funcdef") is None:
            return False
        first = node.children[0]
        if first.type == "expr_stmt":
            return bool(first.children[0].type != "name" or first.children[1].get_code().strip() in {"+=", "-=", "|="})
        return first.type in {"atom_expr", "power"}

    def mutate(self, node: Any, index: int) -> Any:
        """Put `pass` there."""
        node.children[0] = parso.parse(f"{node.children[0].get_first_leaf().prefix}pass")
        return node


class SwapFunction(_Replace):
    """Takes the other one: the least for the greatest, any for all, the first for the last."""

    def _fits(self, node: Any) -> bool:
        called = node.type == "name" and node.value in _OTHER_FUNCTION and node.get_next_leaf().value == "("
        return bool(called and node.get_previous_leaf().value != ".")

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


def operators() -> dict[str, Operator]:
    """Give every operator by name."""
    names = [f"ReplaceComparisonOperator_{one}_{other}" for one, others in _COMPARISONS.items() for other in others]
    names += [f"ReplaceBinaryOperator_{one}_{other}" for one, other in _ARITHMETIC.items()]
    found = {name: plugins.get_operator(f"core/{name}")() for name in (*names, *_OTHERS)}
    return found | {one.__name__: one() for one in (LeaveOutStatement, SwapFunction, SwapContains)}
