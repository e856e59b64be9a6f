"""What does not fit what was written before, in words: names, openers, birds, mending, signing."""

from collections.abc import Mapping
from typing import Any

from . import measures
from .fields import field_word
from .marking import N_
from .marking import gettext as _
from .subjects import sentence_start

_ORDER = {
    "no_opener": N_("There is no %(field)s of that name yet at that time."),
    "before_opener": N_("This is earlier than the start of that %(field)s."),
    "used_up": N_("This name is taken. Choose another."),
    "emptied": N_("That %(field)s is empty by then. Choose another."),
    "itself": N_("A tray cannot be moved into itself."),
    "not_newest": N_("This entry was corrected already. Correct its newest version."),
    "withdrawn": N_("This entry was withdrawn and cannot be corrected."),
    "other_kind": N_("An entry can only be corrected by an entry of the same kind."),
    "changed_name": N_("The name that was opened here cannot be changed. Withdraw the entry and write it anew."),
    "not_mended": N_("A sign-off and a review of an action are not corrected. Write a new one."),
    "only_withdrawn": N_("A release is not corrected. Withdraw it, or write a new one."),
    "not_standing": N_("There is no such finding at that time, so nothing is set aside for it."),
    "not_releasable": N_("This food cannot be released. Look at what may be done with it."),
    "still_here": N_("Some of this food is still here. Choose what to do with it."),
    "dependents": N_("Other entries build on this one. Correct or withdraw those first."),
    "running": N_("The day cannot be signed yet: some things are still open."),
    "not_ready": N_("The day cannot be signed yet: some things are still open."),
    "week_not_over": N_("This week is not over yet: it can be signed once its Sunday is over."),
    "week_empty": N_("There are no entries of this week, so there is nothing to sign."),
    "week_moved": N_("New entries came in while you were reading. Look at the week again, then sign."),
    "head_moved": N_("New entries came in while you were reading. Look at the day again, then sign."),
}


def order_error_words(field: str, values: Mapping[str, Any]) -> str:
    """Give the message of an error of the order of things; `why` is one of its reasons, `left` the birds left."""
    if field == "birds" or values.get("why") == "more_out":
        return _more_out(values)
    why = str(values.get("why", ""))
    if why in _ORDER:
        return _said(_ORDER[why], field)
    if field == "amends":
        return _said(_ORDER["dependents"], field)
    if field == "day":
        return _said(_ORDER["not_ready"], field)
    return _("%(field)s: this does not fit what was written before.", field=sentence_start(field_word(field)))


def _said(message: str, field: str) -> str:
    # Without a placeholder gettext must not be handed values: it would read a percent sign as one.
    return _(message, field=field_word(field)) if "%(" in message else _(message)


def _more_out(values: Mapping[str, Any]) -> str:
    left = values.get("left")
    if left is None:
        return _("More birds would go out than there are. Count again, or record first where the others came from.")
    if left == 0:
        return _("None are left here. Choose another, or record first where these came from.")
    return _(
        "Only %(left)s left here. Count again, or record first where the others came from.",
        left=measures.bird_count(left),
    )
