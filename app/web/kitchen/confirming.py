"""Saving only what was understood: an entry is kept once what it means has been on the page."""

from ..parts.forms import Draft, recorded
from .readings import Foreseen, ReadingForm, foresee


def saved(form: ReadingForm, draft: Draft) -> bool:
    """Keep the entry if what it means was shown; False where it was not yet, or where it was refused."""
    return form.is_confirmed(draft) and recorded(form, [draft])


def foreseen_by(form: ReadingForm, draft: Draft) -> Foreseen | None:
    """Give the day as it would be with the entry, and note that its meaning is on the page now."""
    foreseen = None if form.errors_at() else foresee(form, draft)
    form.confirm(draft)
    return foreseen
