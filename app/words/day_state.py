"""How a day stands, in one or two sentences: what is still to do, and whether it can be signed."""

from dataclasses import dataclass

from app.kinds import Subject

from .marking import gettext as _
from .marking import ngettext
from .measures import joined
from .subjects import subject_words


@dataclass(frozen=True, slots=True, kw_only=True)
class DayState:
    """What a day still owes, counted, and how it is signed."""

    to_answer: int
    to_review: int
    running: int
    """Loads, trays, batches and reheats that are not finished."""
    aside: tuple[Subject, ...]
    """Trays, batches, reheats and spits with food that is set aside."""
    is_ready: bool
    is_signed: bool
    is_stale: bool


def day_state_words(state: DayState) -> str:
    """Say how a day stands: `3 findings to answer, 2 still running; then it can be signed.`"""
    said = [_how_it_stands(state)]
    if state.aside:
        said.append(_("Set aside: %(food)s.", food=joined([subject_words(one) for one in state.aside])))
    return " ".join(said)


def _how_it_stands(state: DayState) -> str:
    if state.is_signed:
        return _("Signed. Nothing is owed.")
    if state.is_ready:
        return _("Changed since it was signed. Sign it again.") if state.is_stale else _("Ready to be signed.")
    owed = ", ".join(_owed(state))
    return _("%(owed)s; then it can be signed.", owed=owed) if owed else _("It cannot be signed yet.")


def _owed(state: DayState) -> list[str]:
    counted = (
        (state.to_answer, ngettext("%(num)s finding to answer", "%(num)s findings to answer", state.to_answer)),
        (state.to_review, ngettext("%(num)s action to review", "%(num)s actions to review", state.to_review)),
        (state.running, ngettext("%(num)s still running", "%(num)s still running", state.running)),
    )
    return [words for count, words in counted if count]
