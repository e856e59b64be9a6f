"""Looking at the whole plan again: once a year, after a change, and after a deviation that nobody foresaw."""

from dataclasses import dataclass
from typing import Annotated

from .entry import Entry
from .fields import LINE, LINES, Choice, Count
from .form import Indexed


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanReassessed(Entry):
    """Somebody who may adopt a plan looked at all of it again: does it still control the hazards of this kitchen?"""

    KIND = "plan_reassessed"
    AMENDABLE = WITHDRAWABLE = False
    IS_WORK = COUNTS_FOR_DAY = False
    version: Annotated[int, Count(1, 2**31), Indexed("plan")]
    """The version of the plan that was looked at."""
    looked_at: Annotated[str, LINES]
    outcome: Annotated[str, Choice(("plan_stands", "plan_to_change"))]
    basis: Annotated[str, LINES]
    """What the outcome rests on."""
    finding: Annotated[str | None, LINE] = None
    """The key of the finding of a deviation that nobody foresaw, where that gave the occasion."""
