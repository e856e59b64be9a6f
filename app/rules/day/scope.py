"""How far a mending reaches: the entries on which it is judged, so that not all of a day is judged anew for each.

What it can change lies in the food it names and downstream of it, where the birds went; what that rests on, upstream.
"""

from collections.abc import Iterator
from functools import cache

from app.kinds import Entry
from app.kinds.form import once_a_kind
from app.kinds.naming import names_food

from .food_reach import FoodReach, Part, Records, kind_of, lines_of_food
from .reach import DAY, FOOD, Line, Reach
from .registry import RULES, reaches_of


class Scope:
    """What has to be judged for the mendings of a day."""

    def __init__(self, records: Records) -> None:
        self._entries, self._calendar = records.entries, records.calendar
        self._versions: dict[int, list[Entry]] = {
            entry.root_seq: [] for entry in records.entries if entry.amends is not None
        }
        for entry in records.entries:
            if entry.root_seq in self._versions:
                self._versions[entry.root_seq].append(entry)
        self._food = FoodReach(records, self._versions, _rules_within(FOOD))
        self._standing: dict[Reach, frozenset[str]] = {}

    def of(self, mending: Entry) -> Iterator[Part]:
        """Give what has to be judged to see what a mending cleared."""
        kind = kind_of(mending)
        if _reaches_unnamed_food(kind):
            yield Part(self._entries, frozenset(RULES))
            return
        for reach in reaches_of(kind):
            if reach is FOOD:
                yield self._food.around(self._versions[mending.root_seq])
            elif isinstance(reach, Line):
                yield from self._along(reach, mending)
            elif reach is not DAY or not names_food(kind) or self._is_seen_otherwise(mending):
                yield from self._read_within(reach, mending)

    def _is_seen_otherwise(self, mending: Entry) -> bool:
        """Whether the versions differ in when something was seen, or whether it was: a day asks no more of its food."""
        return len({(entry.withdrawn, entry.observed_at) for entry in self._versions[mending.root_seq]}) > 1

    def _along(self, line: Line, mending: Entry) -> Iterator[Part]:
        """Give what names the same probe or unit, if that or the moment changed."""
        rules, named = _rules_within(line), [line.names(entry) for entry in self._versions[mending.root_seq]]
        wanted = {name for names in named for name in names}
        if not rules or not wanted or not (self._is_seen_otherwise(mending) or named.count(named[0]) < len(named)):
            return
        roots = {entry.root_seq for entry in self._entries if not wanted.isdisjoint(line.names(entry))}
        yield Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _read_within(self, reach: Reach, mending: Entry) -> Iterator[Part]:
        """Give what is read by the rules of a reach that may have found anything; where birds move, beside all else."""
        if reach not in self._standing:
            self._standing[reach] = frozenset(name for name in _rules_within(reach) if self._may_stand(name))
        rules = self._standing[reach]
        read = frozenset[type[Entry]]().union(*(RULES[name].reads for name in rules))
        if any(kind.flows is not Entry.flows for kind in read):
            yield Part(self._entries, rules)
        elif rules:
            roots = {entry.root_seq for entry in self._entries if type(entry) in read} | {mending.root_seq}
            yield Part([entry for entry in self._entries if entry.root_seq in roots], rules)

    def _may_stand(self, rule: str) -> bool:
        may_stand = RULES[rule].may_stand
        return may_stand is None or may_stand(self._entries, self._calendar)


@once_a_kind
def _reaches_unnamed_food(kind: type[Entry]) -> bool:
    """Whether entries of a kind are about food that they do not name: what a probe read, what an oven held."""
    if names_food(kind) or FOOD not in reaches_of(kind):
        return False
    along = [reach for reach in reaches_of(kind) if isinstance(reach, Line)]
    return not along or any(kind in line.told_by and line in lines_of_food() for line in along)


@cache
def _rules_within(reach: Reach) -> frozenset[str]:
    """Give the rules that a reach is about; what reaches the food is found with the food."""
    within = (rule for rule in RULES.values() if reach in rule.reach and (reach is FOOD or FOOD not in rule.reach))
    return frozenset(rule.name for rule in within)
