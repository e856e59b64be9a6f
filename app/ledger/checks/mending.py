"""The fifth stage for amendments and withdrawals: nothing that builds on the old version may be left without ground."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from app.kinds import Entry
from app.kinds.form import FILL, OPEN, READ, TAKE

from ..form.drafts import Draft
from ..form.shape import FieldError
from ..index.subjects import HOLDERS, MOVING, NEEDING, Mention
from . import order
from .states import Fact, State, overdrawn


@dataclass(frozen=True, slots=True)
class Mending:
    """What is put in the place of what; `states` are whole, with the old version in them."""

    draft: Draft
    states: Mapping[str, State]

    @property
    def entry(self) -> Entry:
        """The new version."""
        return self.draft.entry

    @property
    def old(self) -> Sequence[Mention]:
        """What the version names that counted so far."""
        return self.draft.former[-1].named


def check(mending: Mending) -> tuple[list[FieldError], list[int]]:
    """Give what is wrong with the new version itself, and the `root_seq` of every entry that would lose its ground."""
    if order.goes_into_itself(mending.entry):
        return [order.refusal("into", "itself")], []
    if _renames(mending):
        return [order.refusal("amends", "changed_name", dependents=())], []
    errors = _own_errors(mending)
    after = mended(mending)
    needed = [fact.root_seq for state in after.values() for fact in _ungrounded(state, mending.entry.root_seq)]
    return errors, sorted(set(needed))


def mended(mending: Mending) -> dict[str, State]:
    """Give the states as they are once the new version stands in the place of the old."""
    root_seq, seq = mending.entry.root_seq, mending.entry.seq
    states = {subject: mending.states[subject].without(root_seq) for subject in mending.states}
    for mention in mending.draft.named:
        if mention.role:
            states[mention.subject].add(Fact.of(mention, at=mending.draft.at, root_seq=root_seq, seq=seq))
    return states


def _renames(mending: Mending) -> bool:
    """Whether a name that the entry opens is not opened by the new version."""
    if mending.entry.withdrawn:
        return False
    kept = {mention.subject for mention in mending.draft.named if mention.role in (OPEN, FILL)}
    return any(_opens(mention, mending) and mention.subject not in kept for mention in mending.old)


def _opens(mention: Mention, mending: Mending) -> bool:
    if mention.role not in (OPEN, FILL):
        return False
    state = mending.states[mention.subject]
    return state.kind in HOLDERS and state.opener == mending.entry.root_seq


def _stays_first(others: State, at: int) -> bool:
    """Whether what opened a subject still does when it was seen at a moment."""
    return others.opened_at is None or at <= others.opened_at


def _own_errors(mending: Mending) -> list[FieldError]:
    """Check the new version as a new entry is checked, as if the old one had not been written."""
    errors: dict[str, FieldError] = {}
    for mention in mending.draft.named:
        if not mention.role or (mention.field == "spit" and "load" in errors):
            continue
        error = _own_error(mention, mending)
        if error is not None:
            errors.setdefault(error.field, error)
    return list(errors.values())


def _own_error(mention: Mention, mending: Mending) -> FieldError | None:
    state = mending.states[mention.subject].without(mending.entry.root_seq)
    if _opens(mention, mending) and (mention.role == OPEN or _stays_first(state, mending.draft.at)):
        return None
    error = order.CHECKS[mention.role](state, mention, mending.draft.at)
    if error is None and mention.bird:
        error = order.check_birds(state, mention, mending.draft.at)
    if error is None and mention.field == "spit" and mention.role == FILL:
        error = order.check_spit(mending.entry, state, mending.draft.at)
    if error is not None and error.field == "birds":
        return FieldError("amends", "order", {**error.values, "dependents": ()})
    return error


def _ungrounded(state: State, root_seq: int) -> Iterable[Fact]:
    """Give the other entries that this state does not carry: without opener, before it, of birds that are not there."""
    others = [fact for fact in state.facts if fact.root_seq != root_seq]
    for fact in others:
        if (fact.role in _needing(state) and state.is_too_early(fact.at)) or (
            fact.bird and fact.role in (READ, TAKE) and fact.bird > state.birds_loaded_by(fact.at)
        ):
            yield fact
    if state.kind != "load":
        yield from (fact for fact in overdrawn(state) if fact.root_seq != root_seq)


def _needing(state: State) -> tuple[str, ...]:
    return (*NEEDING, *MOVING) if state.kind == "load" else NEEDING
