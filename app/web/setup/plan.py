"""The HACCP plan: what is in force and since when, its earlier versions, and adopting a new one."""

from collections.abc import Mapping, Sequence
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

from ..parts.forms import PageForm
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
    kept = _start(code)
    return _adoption(AdoptionForm(data={**_presets(kept), "code": code, **_carried(kept)}))


def _start(code: str) -> rules_plan.Adopted:
    """Give what a new version starts from: the newest one, or another code as it stands."""
    newest = _plans()[-1]
    is_own = code == rules_plan.now_called(newest.code)
    return newest if is_own else rules_plan.Adopted(0, code, (), "", newest.adopted_at)


def _presets(kept: rules_plan.Adopted) -> Mapping[str, str]:
    """Give every setting as it is typed."""
    limits = rules_plan.resolve(kept, _today()).limits
    return {name: register.setting_text(getattr(limits, name)) for name in plan_settings.SETTINGS}


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
            )
        flash(_("Version %(number)s of the plan is in force from now on.", number=adopted.version))
        return redirect(url_for("plan.index"), 303)
    return _adoption(form, 422)


def _settings(form: AdoptionForm) -> Mapping[str, str]:
    """Give the settings that were typed over; every one that cannot be adopted has its error at its field.

    What stands as it was shown is not the site's own by that: a limit that a table pair gave goes when the pair goes.
    """
    shown = _presets(_start(form.code.data or ""))
    typed = {name: str(form[name].data or "").strip() for name in plan_settings.SETTINGS}
    settings = {name: text for name, text in typed.items() if text != shown[name]}
    for name, text in settings.items():
        with refusals_at(form):
            variance = (form.variance.data or "").strip() or None
            adoption.check_setting(form.code.data or "", name, text, on=_today(), variance=variance)
    return settings


def _adoption(form: AdoptionForm, status: int = 200) -> ResponseReturnValue:
    code = plan_page.own_plan(form.code.data or "", clock.utc_now(), _today())
    titles = [(name, str(rules_plan.read_code(name)["title"])) for name in rules_plan.codes()]
    groups = plan_page.build_adoption(form, code)
    return page("setup/plan_new.html", status, form=form, groups=groups, plan=code, codes=titles)


def _version(number: int) -> ResponseReturnValue:
    plans, people = _plans(), identity.current().site.people
    adopted = next((plan for plan in plans if plan.version == number), None)
    if adopted is None:
        abort(404)
    is_newest = adopted is plans[-1]
    view = plan_page.build_plan_page(adopted, people, _today())
    history = plan_page.build_history(plans, people)
    return page("setup/plan.html", plan=view, history=history, is_newest=is_newest)


def _carried(adopted: rules_plan.Adopted) -> dict[str, str]:
    return {"authority": adopted.authority or "", "variance": adopted.variance or ""}


def _plans() -> Sequence[rules_plan.Adopted]:
    with get_database().reading() as session:
        return ledger.read_plans(session, identity.current().site.code)


def _today() -> date:
    return _local_date(clock.utc_now())


def _local_date(at: datetime) -> date:
    return at.astimezone(identity.current().site.timezone).date()
