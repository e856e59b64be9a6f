"""The HACCP plan: what is in force and since when, its earlier versions, and adopting a new one."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import LazyString
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, PasswordField, StringField

from app import clock, ledger, register, words
from app.kinds.permissions import Permission
from app.rules.plans import adoption
from app.rules.plans import plan as rules_plan
from app.rules.plans import settings as plan_settings
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import password_is_right
from . import plan_page
from .index import changing, refusals_at

blueprint = Blueprint("plan", __name__, url_prefix="/setup/plan")


class AdoptionForm(PageForm):
    """A new plan version: every setting as it is typed, and in whose name it is adopted."""

    code = HiddenField()
    after = HiddenField()
    """The version that was the newest when the form was filled in."""
    authority = StringField(_l("This code was adopted here by"))
    variance = StringField(_l("Variance that allows what is looser than the code"))
    password = PasswordField(_l("Your password"))


for _name in plan_settings.SETTINGS:
    setattr(AdoptionForm, _name, StringField(LazyString(words.setting_word, _name)))


@blueprint.get("")
@requires(Permission.READ_SETUP)
def index() -> ResponseReturnValue:
    """Show the plan in force and its history."""
    return _version(_plans()[-1].version)


@blueprint.get("/<int:number>")
@requires(Permission.READ_SETUP)
def version(number: int) -> ResponseReturnValue:
    """Show one version of the plan."""
    return _version(number)


@blueprint.get("/new")
@requires(Permission.READ_SETUP)
def new() -> ResponseReturnValue:
    """Show the form for a new version; with `?code=` it starts from another code of law."""
    code = rules_plan.now_called(request.args.get("code", _plans()[-1].code))
    if code not in rules_plan.codes():
        abort(404)
    newest = _plans()[-1]
    return _adoption(AdoptionForm(data={**_presets(newest, code), "code": code, "after": newest.version}))


def _presets(before: rules_plan.Adopted, code: str) -> Mapping[str, str]:
    """Give what a version that follows another starts from, each setting as it is typed.

    That is what the code says today and what the site set on top of it, or another code as it stands.
    """
    is_own = code == rules_plan.now_called(before.code)
    kept = replace(before, values="") if is_own else rules_plan.Adopted(0, code, (), "", before.adopted_at)
    limits = rules_plan.resolve(kept, _today()).limits
    settings = {name: register.setting_text(getattr(limits, name)) for name in plan_settings.SETTINGS}
    return {**settings, "authority": kept.authority or "", "variance": kept.variance or ""}


@blueprint.post("")
@requires(Permission.ADOPT_PLAN)
def adopt() -> ResponseReturnValue:
    """Adopt a new version in the name of who is at the screen."""
    form = AdoptionForm.of_request()
    if form.code.data not in rules_plan.codes():
        abort(404)
    settings = _settings(form)
    if form.errors_at() or not password_is_right(form):
        return _adoption(form, 422)
    with refusals_at(form):
        with changing() as (session, site, now):
            adopted = register.adopt_plan(
                session,
                site,
                form.code.data,
                settings,
                by=register.get_person(session, site, identity.current().person.login),
                at=now,
                variance=form.variance.data or "",
                authority=form.authority.data or "",
                via="session",
                after=_before(form).version,
            )
        flash(_("Version %(number)s of the plan is in force from now on.", number=adopted.version))
        return redirect(url_for("plan.index"), 303)
    _catch_up(form)
    return _adoption(form, 422)


def _before(form: AdoptionForm) -> rules_plan.Adopted:
    """Give the version that was the newest when the form was filled in; the newest one where it does not say."""
    plans = _plans()
    return next((plan for plan in plans if str(plan.version) == form.after.data), plans[-1])


def _typed_over(form: AdoptionForm) -> Mapping[str, str]:
    """Give what stands otherwise in the form than it was shown."""
    shown = _presets(_before(form), form.code.data or "")
    typed = {name: str(form[name].data or "").strip() for name in shown}
    return {name: text for name, text in typed.items() if text != shown[name]}


def _catch_up(form: AdoptionForm) -> None:
    """Where somebody else adopted a version meanwhile, show that one's values wherever nothing else was typed."""
    newest, typed = _plans()[-1], _typed_over(form)
    for name, text in _presets(newest, form.code.data or "").items():
        form[name].data = typed.get(name, text)
    form.after.data = str(newest.version)


def _settings(form: AdoptionForm) -> Mapping[str, str]:
    """Give the settings that were typed over; every one that cannot be adopted has its error at its field.

    What stands as it was shown is not the site's own by that: a limit that a table pair gave goes when the pair goes.
    """
    settings = {name: text for name, text in _typed_over(form).items() if name in plan_settings.SETTINGS}
    for name, text in settings.items():
        with refusals_at(form):
            variance = (form.variance.data or "").strip() or None
            adoption.check_setting(form.code.data or "", name, text, on=_today(), variance=variance)
    return settings


def _adoption(form: AdoptionForm, status: int = 200) -> ResponseReturnValue:
    code = plan_page.own_plan(form.code.data or "", clock.utc_now(), _today())
    titles = [(name, str(rules_plan.read_code(name)["title"])) for name in rules_plan.codes()]
    groups = plan_page.build_adoption(form, code)
    newest = _plans()[-1]
    new_rules = plan_page.new_rules(newest, _today()) if form.code.data == rules_plan.now_called(newest.code) else ""
    told = {"new_rules": new_rules, "lists_own_groups": plan_page.lists_own_groups(newest)}
    return page("setup/plan_new.html", status, form=form, groups=groups, plan=code, codes=titles, **told)


def _version(number: int) -> ResponseReturnValue:
    plans, people = _plans(), identity.current().site.people
    adopted = next((plan for plan in plans if plan.version == number), None)
    if adopted is None:
        abort(404)
    is_newest = adopted is plans[-1]
    view = plan_page.build_plan_page(adopted, people, _today())
    history = plan_page.build_history(plans, people)
    return page("setup/plan.html", plan=view, history=history, is_newest=is_newest)


def _plans() -> Sequence[rules_plan.Adopted]:
    with get_database().reading() as session:
        return ledger.read_plans(session, identity.current().site.code)


def _today() -> date:
    return _local_date(clock.utc_now())


def _local_date(at: datetime) -> date:
    return at.astimezone(identity.current().site.timezone).date()
