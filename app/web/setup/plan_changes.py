"""One limit on a page of its own: a number and a unit, and at once whether it is stricter, looser or the same."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import replace

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from sqlalchemy.orm import Session

from app import clock, models, register, words
from app.kinds.permissions import Permission
from app.register import Draft
from app.rules.plans import adoption
from app.rules.plans import plan as rules_plan
from app.rules.plans.limits import Limits
from app.rules.plans.settings import SETTINGS, PlanRefused
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import limit_forms, plan_page
from .index import changing, kitchen, refusals_at
from .limit_forms import ChecksForm, Editor, LimitForm
from .own_checks import own_items
from .plan import Coming, read_coming, today

blueprint = Blueprint("plan_changes", __name__, url_prefix="/setup/plan/change")

_PLACES = {
    "cook_table": "row",
    "cook_humidity": "humidity",
    "after": "number",
}


@blueprint.get("/<setting>")
@requires(Permission.READ_SETUP)
def change(setting: str) -> ResponseReturnValue:
    """Show a limit and the form to change it; a script that asks while it is typed is told what it would be."""
    name = _checked(setting)
    with get_database().reading() as session:
        site = kitchen(session)
        next_one = read_coming(session, site, register.find_draft(session, site))
        editor = limit_forms.editor_of(name, next_one.plan.limits)
        if request.headers.get("X-Fragment"):
            return _answer(session, site, name, editor.form(request.args), editor)
    return _page(name, editor.form(data=editor.shown(name, next_one.plan.limits)), next_one)


@blueprint.post("/<setting>")
@requires(Permission.ADOPT_PLAN)
def put(setting: str) -> ResponseReturnValue:
    """Put a limit into the next version of the plan."""
    name = _checked(setting)
    with get_database().reading() as session:
        site = kitchen(session)
        next_one = read_coming(session, site, register.find_draft(session, site))
    editor = limit_forms.editor_of(name, next_one.plan.limits)
    form = editor.form.of_request()
    with refusals_at(form, _places(name, form)), _want_of_variance_at(form):
        with changing() as (session, site, now):
            draft = _changed(session, site, name, form, editor)
            if draft is not None:
                register.keep_draft(session, site, draft, by=identity.current().person.login, at=now)
        if draft is not None:
            flash(_("It is in the next version. Adopt that version to bring it into force."))
            return redirect(url_for("plan.new"), 303)
    return _refused(name, form, editor, next_one)


def _changed(session: Session, site: models.Site, name: str, form: LimitForm, editor: Editor) -> Draft | None:
    """Give the draft with what was typed; None where it cannot be, with the error at its field.

    Raises PlanRefused, and Refused where the kitchen relies on what would go.
    """
    draft = register.find_draft(session, site)
    next_one = read_coming(session, site, draft)
    code, limits = next_one.adopted.code, next_one.plan.limits
    if request.form.get("reset"):
        settings: Mapping[str, str] | None = {name: plan_page.own_text(code, name, today())}
    else:
        settings = editor.read(form, name, limits, _code_limits(code))
    if settings is None:
        return None
    is_looser = bool(adoption.looser(code, settings, on=today()))
    if is_looser and not _is_named_whole(form):
        return None
    named = _named_variance(form) if is_looser else None
    variance = next_one.adopted.variance if named is None else named
    for each, text in settings.items():
        adoption.check_setting(code, each, text, on=today(), variance=variance)
    changed = register.with_setting(draft, settings, variance=named)
    if isinstance(form, ChecksForm) and not request.form.get("reset"):
        items = own_items(form.own_lines(), getattr(limits, name))
        changed = replace(changed, own=replace(next_one.own, items={**next_one.own.items, **items}))
    coming = read_coming(session, site, changed)
    adoption.check_adoption(code, dict(coming.adopted.settings), on=today(), variance=variance)
    if name in ("time_control_procedure", "controls"):
        register.check_procedure(session, site.code, coming.plan, at=clock.utc_now())
    return changed


@contextmanager
def _want_of_variance_at(form: LimitForm) -> Iterator[None]:
    """Put a refusal for want of a variance where the variance is named: the limit itself may well be meant so."""
    try:
        yield
    except PlanRefused as refused:
        if refused.code != "looser":
            raise
        form.refuse("variance", words.error_words(refused.name, refused.code, refused.values))


def _code_limits(code: str) -> Limits:
    return rules_plan.limits_on(code, {}, today())[0]


def _is_named_whole(form: LimitForm) -> bool:
    """Whether a variance that is named has its authority too, and the other way round; else that is asked for there."""
    has_name, has_authority = bool(_line(form.variance.data)), bool(_line(form.variance_by.data))
    if has_name and not has_authority:
        form.refuse("variance_by", _("Say which authority gave it."))
    if has_authority and not has_name:
        form.refuse("variance", _("Say which variance: its name or number."))
    return has_name == has_authority


def _named_variance(form: LimitForm) -> str:
    """Give the variance by its name and the authority that gave it."""
    return ", ".join(part for part in (_line(form.variance.data), _line(form.variance_by.data)) if part)


def _line(text: str | None) -> str:
    return (text or "").strip()


def _variance(next_one: Coming) -> Mapping[str, str]:
    name, _comma, by = (next_one.adopted.variance or "").partition(", ")
    return {"variance": name, "variance_by": by}


def _places(name: str, form: PageForm) -> Mapping[str, str]:
    """Say at which field of this form a refusal of the setting stands."""
    first = next((field for field in ("number", "line", "own", "ticked", "species") if field in form), "variance")
    return {**_PLACES, name: first}


def _answer(session: Session, site: models.Site, name: str, form: LimitForm, editor: Editor) -> ResponseReturnValue:
    """Tell what was typed so far as a sentence, beside what the code says; nothing while it cannot be read."""
    change = None
    try:
        change = _as_typed(session, site, name, form, editor)
    except PlanRefused as refused:
        form.refuse(None, words.error_words(refused.name, refused.code, refused.values))
    return page("setup/plan_told.html", 200, change=change, errors=form.errors_at())


def _as_typed(
    session: Session, site: models.Site, name: str, form: LimitForm, editor: Editor
) -> plan_page.Change | None:
    """Give what was typed as it would be; None where it cannot be read. Raises PlanRefused."""
    draft = register.find_draft(session, site)
    now = read_coming(session, site, draft)
    settings = editor.read(form, name, now.plan.limits, _code_limits(now.adopted.code))
    if settings is None:
        return None
    then = read_coming(session, site, register.with_setting(draft, settings))
    return plan_page.build_change(name, _in_force(now), then.plan, settings[name], today())


def _refused(name: str, form: LimitForm, editor: Editor, next_one: Coming) -> ResponseReturnValue:
    """Show the form again with what was typed, and what that would be."""
    with get_database().reading() as session, suppress(PlanRefused):
        # Read from a form of its own: this one has its errors already.
        change = _as_typed(session, kitchen(session), name, editor.form(request.form), editor)
        if change is not None:
            return _shown(name, form, change, next_one, 422)
    return _page(name, form, next_one, 422)


def _in_force(next_one: Coming) -> rules_plan.Plan:
    return rules_plan.resolve(next_one.newest, today())


def _page(name: str, form: LimitForm, next_one: Coming, status: int = 200) -> ResponseReturnValue:
    text = register.setting_text(getattr(next_one.plan.limits, name))
    change = plan_page.build_change(name, _in_force(next_one), next_one.plan, text, today())
    return _shown(name, form, change, next_one, status)


def _shown(name: str, form: LimitForm, change: plan_page.Change, next_one: Coming, status: int) -> ResponseReturnValue:
    """Show the form; the variance that is named already stands in its fields once they are on the screen.

    Fields that nobody sees stay empty: no limit becomes looser under a variance that was given for another one.
    """
    known, is_refused = _variance(next_one), bool(form.variance.errors or form.variance_by.errors)
    wants_variance = change.wants_variance or is_refused
    if wants_variance and not _named_variance(form):
        form.variance.data, form.variance_by.data = known["variance"], known["variance_by"]
    view = {"form": form, "change": change, "wants_variance": wants_variance, "known": known, "name": name}
    return page("setup/plan_change.html", status, errors=[], **view)


def _checked(setting: str) -> str:
    if setting not in SETTINGS:
        abort(404)
    return "cook_table" if setting == "cook_humidity" else setting
