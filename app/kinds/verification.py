"""Verification: work that was watched, who was trained, and the signature under a week."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from .entry import Entry
from .fields import LINE, LINES, Choice, Count, Day, Instant, Who
from .form import Indexed, SetByServer

WATCHED = (
    *("receiving", "loading", "probing", "pulling", "hot_holding", "cooling", "reheating"),
    *("probe_check", "hand_washing", "cleaning", "other"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WorkObserved(Entry):
    """Somebody in charge watched work being done: it was right, or it was corrected on the spot."""

    KIND = "work_observed"
    IS_WORK = COUNTS_FOR_DAY = False
    whom: Annotated[str, Who()]
    watched: Annotated[str, Choice(WATCHED)]
    outcome: Annotated[str, Choice(("right", "corrected"))]
    remark: Annotated[str | None, LINES] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Training(Entry):
    """Somebody was trained: it holds from when it was seen to the end of the day `until`, if that is said."""

    KIND = "training"
    IS_WORK = COUNTS_FOR_DAY = False
    whom: Annotated[str, Who()]
    what: Annotated[str, LINE]
    taught_by: Annotated[str, LINE]
    until: Annotated[date | None, Day()] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WeekSignOff(Entry):
    """Somebody in charge signs a week of business days over the ledger as it stood: its records were verified."""

    KIND = "week_sign_off"
    AMENDABLE = WITHDRAWABLE = False
    IS_WORK = COUNTS_FOR_DAY = False
    IS_SIGNATURE = True
    week: Annotated[date, Day(), Indexed("week")]
    """The Monday that it begins with."""
    meaning: Annotated[str, Choice(("verified",))]
    signer_name: Annotated[str, LINE, SetByServer()] = ""
    covers_seq: Annotated[int, Count(high=2**53), SetByServer()] = 0
    """Up to which entry the signer had seen the ledger."""
    covers_hash: Annotated[str, LINE, SetByServer()] = ""
    as_of: Annotated[datetime | None, Instant(), SetByServer()] = None
