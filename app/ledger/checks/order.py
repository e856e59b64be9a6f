"""The fifth stage for new entries: does what is told fit what happened before and after it?"""

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from app.kinds import Entry, value_of
from app.kinds.form import FILL, MOVE, OPEN, READ, TAKE

from ..form.shape import FieldError
from ..index.subjects import Mention
from .states import State

States = Mapping[str, State]


def goes_into_itself(entry: Entry) -> bool:
    """Whether birds are said to go out of a tray into that same tray."""
    into = value_of(entry, "into")
    return into is not None and into == value_of(entry, "tray")


def check(entry: Entry, named: Sequence[Mention], states: States, *, at: int) -> list[FieldError]:
    """Tell what stands against a new entry seen at `at` (milliseconds): openers, used-up names, birds."""
    if goes_into_itself(entry):
        return [refusal("into", "itself")]
    errors: dict[str, FieldError] = {}
    for mention in named:
        if not mention.role or (mention.field == "spit" and "load" in errors):
            continue  # a spit of a load that is not there says nothing more
        state = states[mention.subject]
        error = CHECKS[mention.role](state, mention, at) or (check_birds(state, mention, at) if mention.bird else None)
        if error is None and mention.field == "spit" and mention.role == FILL:
            error = check_spit(entry, state, at)
        if error is not None:
            errors.setdefault(error.field, error)
    return list(errors.values())


def refusal(field: str, why: str, **values: Any) -> FieldError:
    """Give an error of this stage; `why` says which of its reasons."""
    return FieldError(field, "order", {"why": why, **values})


def _check_open(state: State, mention: Mention, _at: int) -> FieldError | None:
    return refusal(mention.field, "used_up") if state.used else None


def _check_fill(state: State, mention: Mention, at: int) -> FieldError | None:
    """Opens a name that was never used, or adds to what still holds birds."""
    if state.kind == "spit":
        return None  # its load is what has to be there
    if state.kind == "load":
        return _check_needed(state, mention, at)
    if not state.used:
        return None
    if state.opened_at is None:
        return refusal(mention.field, "used_up")
    if state.is_too_early(at):
        return refusal(mention.field, "before_opener")
    return _check_emptied(state, mention.field, at)


def _check_emptied(state: State, field: str, at: int) -> FieldError | None:
    emptied = state.opened_at is not None and at > state.opened_at and state.left_before(at) <= 0
    return refusal(field, "emptied") if emptied else None


def check_spit(entry: Entry, state: State, at: int) -> FieldError | None:
    """Refuse what is loaded too late: birds that come back need a spit of their own, an emptied one is done with."""
    if entry.kind == "tray_out" and state.opened_at is not None:
        return refusal("spit", "used_up")
    return _check_emptied(state, "spit", at)


def _check_needed(state: State, mention: Mention, at: int) -> FieldError | None:
    if state.opened_at is None:
        return refusal(mention.field, "no_opener")
    return refusal(mention.field, "before_opener") if state.is_too_early(at) else None


def _check_take(state: State, mention: Mention, at: int) -> FieldError | None:
    error = _check_needed(state, mention, at)
    if error or state.kind == "load":  # its spits are counted one by one
        return error
    left = state.can_take(at)
    return refusal("birds", "more_out", left=Decimal(left) / 4) if -mention.quarters > left else None


def _check_move(state: State, mention: Mention, at: int) -> FieldError | None:
    return _check_needed(state, mention, at) or _check_emptied(state, mention.field, at)


def check_birds(state: State, mention: Mention, at: int) -> FieldError | None:
    """Refuse the number of a bird that the spit never had."""
    high = state.birds_loaded_by(at)
    field = "bird" if mention.role == READ else "discarded_birds"
    return FieldError(field, "range", {"low": 1, "high": high}) if mention.bird > high else None


CHECKS: Mapping[str, Callable[[State, Mention, int], FieldError | None]] = {
    OPEN: _check_open,
    FILL: _check_fill,
    TAKE: _check_take,
    MOVE: _check_move,
    READ: _check_needed,
}
"""What an entry must fit, by its role for the subject."""
