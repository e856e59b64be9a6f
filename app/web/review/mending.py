"""The day's entries, and mending them: a wrong entry is amended or withdrawn with a reason; and entries of any kind."""

from collections.abc import Mapping

from flask import Blueprint, abort, flash, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, TextAreaField

from app import ledger, words
from app.kinds import (
    ActionVerified,
    AlarmSilenced,
    CorrectiveAction,
    Entry,
    LoadStarted,
    SignOff,
    SoundTest,
    WeekSignOff,
    temperature_of,
)
from app.kinds.every_entry import FORMS
from app.kinds.naming import names_food
from app.kinds.permissions import Permission, writing
from app.logs.lines import Logbook
from app.rules.meaning.any_reading import Table, table_of
from app.rules.plans.plan import Plan
from app.server import get_database

from ..kitchen.readings import usual_unit
from ..kitchen.running_day import assess_day
from ..parts.forms import Draft, EntryForm, find_kept, instant_text, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from .kind_form import ReasonForm, for_kind, keys_of, people_of, presets_of
from .unlikely import is_answered

blueprint = Blueprint("mending", __name__)

_PAGES: Mapping[str, str] = {
    LoadStarted.KIND: "starting.load_started",
    CorrectiveAction.KIND: "findings.index",
    ActionVerified.KIND: "days.index",
    SignOff.KIND: "days.index",
    AlarmSilenced.KIND: "home.now",
    SoundTest.KIND: "silencing.sound",
    WeekSignOff.KIND: "weeks.index",
}
"""Where entries of a kind are written down that need more on the page than their fields; every other has the form."""


class WithdrawalForm(ReasonForm):
    """Why an entry is withdrawn."""

    amend_reason = TextAreaField(_l("Why it is withdrawn"))
    reason_phrase = RadioField(validate_choice=False, choices=words.withdrawal_phrases)


@blueprint.get("/entries")
@requires(Permission.MEND_ENTRY)
def entries() -> ResponseReturnValue:
    """List a day's entries, the newest first."""
    assessment = assess_day(request.args.get("day"))
    newest_first = sorted(assessment.entries, key=lambda entry: (entry.observed_at, entry.seq), reverse=True)
    return page("mending/entries.html", assessment=assessment, entries=newest_first)


@blueprint.route("/entries/<entry_id>", methods=["GET", "POST"])
@requires(Permission.MEND_ENTRY)
def amend(entry_id: str) -> ResponseReturnValue:
    """Correct an entry: a new version with a reason; the old one stays to be read."""
    entry, plan = _find(entry_id)
    if not entry.AMENDABLE:
        abort(404)
    site, kind = identity.current().site, FORMS[entry.kind]
    seen_at = instant_text(entry.observed_at)
    form = for_kind(kind, site, plan, keys=keys_of(entry, kind), named=people_of(entry, kind)).of_request(
        seen_at=seen_at, **presets_of(entry, kind, site)
    )
    draft = form.entry(kind, site, amends=entry.id, amend_reason=form.why)
    if request.method == "POST" and _is_likely(form, draft, entry) and recorded(form, [draft]):
        flash(_("Corrected. The entry as it was stays to be read."))
        back = identity.local_path(request.args.get("then"))
        return redirect(back or url_for("mending.entries", day=_day_of(entry)), 303)
    view = {
        "entry": entry,
        "kind": kind,
        "form": form,
        "dependents": _dependents(form),
        "table": _table(entry),
        "by": _by(entry),
    }
    return page("mending/amend.html", 422 if form.errors_at() else 200, **view)


@blueprint.route("/entries/<entry_id>/withdraw", methods=["GET", "POST"])
@requires(Permission.MEND_ENTRY)
def withdraw(entry_id: str) -> ResponseReturnValue:
    """Withdraw an entry that never happened."""
    entry, _plan = _find(entry_id)
    form = WithdrawalForm.of_request(seen_at=instant_text(entry.observed_at))
    draft = form.draft(entry.kind, amends=entry.id, amend_reason=form.why, withdrawn=True)
    if request.method == "POST" and recorded(form, [draft]):
        flash(_("Withdrawn. The entry as it was stays to be read."))
        return redirect(url_for("mending.entries", day=_day_of(entry)), 303)
    status = 422 if form.errors_at() else 200
    return page("mending/withdraw.html", status, entry=entry, form=form, dependents=_dependents(form), by=_by(entry))


@blueprint.get("/write", endpoint="kinds")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def kinds_page() -> ResponseReturnValue:
    """List the kinds of entries that can be written down."""
    offered = [name for name in FORMS if not FORMS[name].cls.IS_SIGNATURE and identity.may(writing(name))]
    within = [name for name in offered if names_food(FORMS[name].cls)]
    apart = [name for name in offered if name not in within]
    return page("mending/kinds.html", apart=apart, within=within, pages=_PAGES)


@blueprint.route("/write/<kind>", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def write(kind: str) -> ResponseReturnValue:
    """Write down an entry of any kind; `?then=` is where that was asked for."""
    found = FORMS.get(kind)
    if found is None or kind in _PAGES:
        abort(404)
    site, today = identity.current().site, assess_day(None)
    form = for_kind(found, site, today.plan).of_request(
        unit=session.get("unit", usual_unit()), oven=request.args.get("oven")
    )
    draft = form.entry(found, site)
    if request.method == "POST" and is_answered(form, draft, today) and recorded(form, [draft]):
        flash(_("Saved: %(kind)s.", kind=words.kind_word(kind)))
        return redirect(identity.local_path(request.args.get("then")) or url_for("home.now"), 303)
    return page("mending/write.html", 422 if form.errors_at() else 200, kind=found, form=form)


def _find(entry_id: str) -> tuple[Entry, Plan]:
    """Give an entry that can be mended and the plan of its day; 404 where there is none."""
    site = identity.current().site
    with get_database().reading() as database:
        entry = find_kept(database, entry_id)
        if entry is None or entry.withdrawn or not entry.WITHDRAWABLE:
            abort(404)
        calendar = ledger.calendar_of(database, site.code)
    return entry, calendar.plan_of(calendar.day_of(entry.observed_at))


def _is_likely(form: EntryForm, draft: Draft, entry: Entry) -> bool:
    """Whether the reading as it is mended is likely, or was said to be right. Only a reading is asked about."""
    if temperature_of(entry) is None:
        return True
    return is_answered(form, draft, assess_day(_day_of(entry)), mended=entry.root)


def _table(entry: Entry) -> Table | None:
    """Give what any number in its place would mean; None where it is no reading."""
    return table_of(assess_day(_day_of(entry)), entry) if temperature_of(entry) is not None else None


def _by(entry: Entry) -> str:
    """Give who wrote an entry, and through which tablet or token."""
    return Logbook(assess_day(_day_of(entry))).by(entry)


def _day_of(entry: Entry) -> str:
    with get_database().reading() as database:
        return ledger.today(database, identity.current().site.code, entry.observed_at).isoformat()


def _dependents(form: EntryForm) -> list[Entry]:
    """Give the entries that build on the one that was to be mended."""
    ids = [id for error in form.refusals for id in error.values.get("dependents", ())]
    with get_database().reading() as database:
        found = [ledger.find_entry(database, identity.current().site.code, id) for id in ids]
    return [entry for entry in found if entry is not None]
