"""How far an entry reaches: which findings it can change beside those that it opens, back and forth in time.

A rule declares its reaches. Reading a day, keeping figures and judging a mending go by them, and by nothing else.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from functools import cache
from typing import TYPE_CHECKING

from app.kinds import Entry, EquipmentBack, EquipmentOut, Receiving, value_of

if TYPE_CHECKING:
    from .register_calendar import RegisterCalendar

LONGEST_COOK = timedelta(days=1)
"""Food is in an oven, and out again, within so long (house)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Reach:
    """One way in which an entry changes findings that it does not open."""

    name: str
    says: str
    """What it reaches, for whoever reads `docs/rules.md`."""
    after: timedelta = timedelta(0)
    """So long after an entry a finding that it opens may begin."""


FOOD = Reach(name="food", says="the food it names and all that was together with it, over the whole life of that food")
DAY = Reach(name="day", says="its own business day")


def _always(_calendar: RegisterCalendar) -> bool:
    return True


@cache
def _held(kind: type[Entry], attributes: tuple[str, ...]) -> tuple[str, ...]:
    """Give those of some attributes that entries of a kind have: most of a long day are notes, which have none."""
    return tuple(attribute for attribute in attributes if hasattr(kind, attribute))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Line(Reach):
    """Along all that is written about one probe, unit, oven or lot.

    Some entries tell how it stands; others name it. An entry that tells reaches what names it until another one settles
    how it stands, and an entry that names it rests on what tells until then.
    """

    told_by: tuple[type[Entry], ...]
    """The kinds that tell how it stands: the checks of a probe, an oven out and back."""
    named_in: tuple[str, ...]
    """The attributes in which entries name it, those that tell among them."""
    settles: Callable[[Entry, RegisterCalendar], bool] | None = None
    """Whether an entry that tells settles it: what is before says nothing of what comes after. None: nothing does."""
    back: bool = False
    """Whether an entry that tells reaches what is before it too, back to the last one that settled. One that settles
    puts nothing in doubt."""
    holds_food: bool = False
    """Whether food stays in it without being written of: in an oven, in a hot-holding unit."""
    in_force: Callable[[RegisterCalendar], bool] = _always
    """Whether it counts at all for a kitchen set up like this."""

    def names(self, entry: Entry) -> list[str]:
        """Give the codes or lots by which an entry of whatever kind names what the line is about."""
        attributes = _held(type(entry), self.named_in)  # type: ignore[arg-type]  # mypy takes a class's hash for its instances'
        return [name for attribute in attributes if (name := value_of(entry, attribute)) is not None]

    def tells(self, entry: Entry) -> bool:
        """Whether an entry tells how it stands."""
        return isinstance(entry, self.told_by)

    def is_settled_by(self, entry: Entry, calendar: RegisterCalendar) -> bool:
        """Whether an entry tells how it stands, and settles it."""
        return self.settles is not None and self.tells(entry) and self.settles(entry, calendar)


LOT = Line(
    name="lot",
    says="every load of the lot that was delivered, whenever that was",
    told_by=(Receiving,),
    named_in=("lot",),
)
EQUIPMENT = Line(
    name="equipment",
    says="what was in an oven or unit from when it was out of use until it was back",
    told_by=(EquipmentOut, EquipmentBack),
    named_in=("code", "oven", "hot_unit"),
    settles=lambda entry, _calendar: isinstance(entry, EquipmentBack),
    holds_food=True,
)
