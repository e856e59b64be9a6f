"""Undoing what one tap wrote: for ten seconds, by a withdrawal whose reason says so."""

from datetime import timedelta
from uuid import UUID, uuid5

from flask import Blueprint, abort, flash, redirect, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app import clock
from app.kinds import Entry
from app.kinds.permissions import Permission
from app.server import get_database

from ..parts.forms import EntryForm, find_kept, instant_text, recorded
from ..signin.identity import requires

blueprint = Blueprint("undoing", __name__)

_ON_THE_WAY = timedelta(seconds=5)
UNDONE_WITHIN = timedelta(seconds=10) + _ON_THE_WAY
"""The page offers it for ten seconds; a tap in the last of them may be a moment on its way."""


class UndoForm(EntryForm):
    """Nothing is typed: the entry is undone as it stands."""


def offer_undo(text: str, entry_id: str | None) -> None:
    """Say on the next page what was saved, with a button that undoes it."""
    flash(text, f"undo {entry_id}")


@blueprint.post("/entries/<entry_id>/undo")
@requires(Permission.MEND_ENTRY)
def undo(entry_id: str) -> ResponseReturnValue:
    """Withdraw an entry of the last ten seconds; an older one leads to its withdrawal, which asks for the reason."""
    with get_database().reading() as session:
        entry = find_kept(session, entry_id)
    if entry is None or entry.withdrawn or not entry.WITHDRAWABLE:
        abort(404)
    if clock.utc_now() - entry.recorded_at > UNDONE_WITHIN:
        flash(_("The ten seconds for undoing are over. Withdraw it here, and say why."), "error")
        return redirect(url_for("mending.withdraw", entry_id=entry_id), 303)
    form = _form(entry)
    reason = _("Undone on the screen within ten seconds of saving")
    if recorded(form, [form.draft(entry.kind, amends=entry.id, amend_reason=reason, withdrawn=True)]):
        flash(_("Undone. The entry stays to be read, withdrawn."))
    for error in form.errors_at():
        flash(error.text, "error")
    return redirect(url_for("home.now"), 303)


def _form(entry: Entry) -> UndoForm:
    """Give the form of its withdrawal: however often it is sent, one record."""
    form = UndoForm.of_request()
    form.entry_id.data = str(uuid5(UUID(entry.id), "undone"))
    form.seen_at.data = instant_text(entry.observed_at)
    return form
