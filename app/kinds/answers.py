"""What people answer for: checklists, who is in charge, corrective actions, their review, signatures, notes."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated

from .compound import Items, Keys
from .entry import Entry
from .fields import LINE, LINES, Choice, Count, Day, Instant
from .form import Indexed, SetByServer

_DISPOSITIONS = (
    *("continue_cooking", "reheat", "chill", "serve_now", "discard", "already_out", "reject_delivery"),
    *("hold_for_evaluation", "take_probe_out_of_use", "search_for_foreign_body", "none"),
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Checklist(Entry):
    """The opening or closing checks of a day."""

    KIND = "checklist"
    list: Annotated[str, Choice(("opening", "closing"))]
    items: Annotated[Mapping[str, bool | None], Items({"opening": "opening_checks", "closing": "closing_checks"})]
    """Item of the plan's list → true, false or None (does not apply)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class InChargeFrom(Entry):
    """The person takes charge now."""

    KIND = "in_charge_from"
    IS_WORK = False


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CorrectiveAction(Entry):
    """What was done about findings: why it happened, what was done, what becomes of the food, how it is prevented."""

    KIND = "corrective_action"
    IS_WORK = COUNTS_FOR_DAY = False
    findings: Annotated[tuple[str, ...], Keys()]
    cause: Annotated[str, LINES]
    action: Annotated[str, LINES]
    disposition: Annotated[str, Choice(_DISPOSITIONS)]
    prevention: Annotated[str, LINES]
    told: Annotated[str | None, LINE] = None
    """Who was told, of food that was sold, served or given away before it was seen."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ActionVerified(Entry):
    """Somebody in charge accepts corrective actions, or sends them back."""

    KIND = "action_verified"
    AMENDABLE = WITHDRAWABLE = False
    IS_WORK = COUNTS_FOR_DAY = False
    findings: Annotated[tuple[str, ...], Keys()]
    outcome: Annotated[str, Choice(("accepted", "sent_back"))]
    remark: Annotated[str | None, LINES] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Release(Entry):
    """Somebody in charge releases the food that some findings set aside."""

    KIND = "release"
    AMENDABLE = False
    WITHDRAWABLE = True
    IS_WORK = COUNTS_FOR_DAY = False
    findings: Annotated[tuple[str, ...], Keys()]
    basis: Annotated[str, LINE]
    """What the decision rests on."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SignOff(Entry):
    """Somebody in charge signs a day over the ledger as it stood."""

    KIND = "sign_off"
    AMENDABLE = WITHDRAWABLE = False
    IS_WORK = COUNTS_FOR_DAY = False
    IS_SIGNATURE = True
    day: Annotated[date, Day(), Indexed("day")]
    meaning: Annotated[str, Choice(("reviewed",))]
    signer_name: Annotated[str, LINE, SetByServer()] = ""
    covers_seq: Annotated[int, Count(high=2**53), SetByServer()] = 0
    """Up to which entry the signer had seen the ledger."""
    covers_hash: Annotated[str, LINE, SetByServer()] = ""
    as_of: Annotated[datetime | None, Instant(), SetByServer()] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Note(Entry):
    """Anything worth writing down."""

    KIND = "note"
    IS_WORK = COUNTS_FOR_DAY = False
    text: Annotated[str, LINES]
