"""The HACCP plan: what is in force as sentences, its earlier versions, and adopting the next one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from flask import Blueprint, abort, flash, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import HiddenField, PasswordField, StringField

from app import clock, ledger, logs, models, register, words
from app.kinds.permissions import Permission
from app.register import Draft
from app.rules.plans import plan as rules_plan
from app.server import get_database
from app.server.plan_asking import ask_for_document
from app.server.plan_counting import ask_for_effect
from app.server.plan_document import read_reassessment
from app.server.plan_effect import Change

from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from ..signin.password_again import password_is_right
from . import plan_page
from .index import changing, kitchen, refusals_at

blueprint = Blueprint("plan", __name__, url_prefix="/setup/plan")

_ASKS_AGAIN_S = "2"


class AdoptionForm(PageForm):
    """The next version is adopted: in whose name, and that it is the one that was seen."""

    after = HiddenField()
    """The version that was the newest when the page was made."""
    seen = HiddenField()
    """The fingerprint of the changes that stood on the page."""
    authority = StringField(_l("This code was adopted here by"))
    variance = StringField(_l("Variance that allows what is looser than the code"))
    password = PasswordField(_l("Your password"))


@dataclass(frozen=True, slots=True)
class Coming:
    """The next version while it is put together, beside the newest."""

    draft: Draft
    newest: rules_plan.Adopted
    adopted: rules_plan.Adopted
    own: register.OwnWords

    @property
    def plan(self) -> rules_plan.Plan:
        """What the next version would hold."""
        return rules_plan.resolve(self.adopted, today())


def read_coming(session: Session, site: models.Site, draft: Draft) -> Coming:
    """Give the next version as a draft has it; from now on its own checks are called what it calls them."""
    adopted = register.next_version(
        session, site, code=draft.code, settings=draft.settings, variance=draft.variance, at=clock.utc_now()
    )
    own = register.drafted_words(session, site, draft)
    words.show_own_checks({**identity.current().site.own_checks, **own.items})
    return Coming(draft, ledger.read_plans(session, site.code)[-1], adopted, own)


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
    """Show the next version: what is about to change, and the form to adopt it."""
    with get_database().reading() as session:
        next_one = read_coming(session, site := kitchen(session), register.find_draft(session, site))
    form = AdoptionForm(
        data={
            "after": next_one.newest.version,
            "seen": next_one.draft.fingerprint,
            "authority": next_one.adopted.authority or "",
            "variance": next_one.adopted.variance or "",
        }
    )
    return _adoption(form, next_one)


@blueprint.get("/effect")
@requires(Permission.READ_SETUP)
def effect() -> ResponseReturnValue:
    """Show what the next version would have changed in the last four weeks; as a part of a page, or alone.

    While it is being counted the page asks for itself again, without a script; as a part, the script asks again.
    """
    with get_database().reading() as session:
        next_one = read_coming(session, site := kitchen(session), register.find_draft(session, site))
        code = site.code
    found = ask_for_effect(code, Change.of(next_one.adopted))
    if request.headers.get("X-Fragment"):
        return page("setup/plan_effect.html", effect=found)
    response = make_response(page("setup/plan_effect_page.html", effect=found))
    if not found.is_whole:
        response.headers["Refresh"] = _ASKS_AGAIN_S
    return response


@blueprint.post("")
@requires(Permission.ADOPT_PLAN)
def adopt() -> ResponseReturnValue:
    """Adopt the next version in the name of who is at the screen."""
    form = AdoptionForm.of_request()
    if password_is_right(form):
        with refusals_at(form):
            with changing() as (session, site, now):
                adopted = _adopted(session, site, now, form)
            flash(_("Version %(number)s of the plan is in force from now on.", number=adopted.version))
            return redirect(url_for("plan.index"), 303)
    with get_database().reading() as session:
        next_one = read_coming(session, site := kitchen(session), register.find_draft(session, site))
    form.after.data, form.seen.data = str(next_one.newest.version), next_one.draft.fingerprint
    return _adoption(form, next_one, 422)


def _adopted(session: Session, site: models.Site, now: datetime, form: AdoptionForm) -> models.PlanVersion:
    draft = register.find_draft(session, site)
    next_one = read_coming(session, site, draft)
    typed = form.after.data or ""
    after = int(typed) if typed.isascii() and typed.isdigit() else next_one.newest.version
    if after == next_one.newest.version and form.seen.data != draft.fingerprint:
        raise register.Refused("after", "moved")
    adopted = register.adopt_plan(
        session,
        site,
        draft.code,
        draft.settings,
        by=register.get_person(session, site, identity.current().person.login),
        at=now,
        variance=form.variance.data or "",
        authority=form.authority.data or "",
        via="session",
        after=after,
        own=draft.own,
    )
    register.forget_draft(session, site)
    ask_for_document(session, site.code, at=now)
    return adopted


@blueprint.post("/draft/forget")
@requires(Permission.ADOPT_PLAN)
def forget() -> ResponseReturnValue:
    """Take one change out of the next version; all of them where none is named."""
    with changing() as (session, site, now):
        draft, name = register.find_draft(session, site), request.form.get("name", "")
        left = register.without(draft, name) if name else None
        if left is None or left.is_empty:
            register.forget_draft(session, site)
        else:
            register.keep_draft(session, site, left, by=identity.current().person.login, at=now)
    flash(_("It is no longer in the next version."))
    return redirect(url_for("plan.new"), 303)


@blueprint.post("/draft/code")
@requires(Permission.ADOPT_PLAN)
def start_from() -> ResponseReturnValue:
    """Let the next version start from another code of law, with nothing set on top."""
    code = request.form.get("code", "")
    if code not in rules_plan.codes():
        abort(404)
    with changing() as (session, site, now):
        draft = register.find_draft(session, site)
        is_own = code == rules_plan.now_called(ledger.read_plans(session, site.code)[-1].code)
        changed = Draft(draft.after, None if is_own else code, own=draft.own)
        register.keep_draft(session, site, changed, by=identity.current().person.login, at=now)
    flash(_("The next version starts from %(code)s.", code=rules_plan.read_code(code)["title"]))
    return redirect(url_for("plan.new"), 303)


def _adoption(form: AdoptionForm, next_one: Coming, status: int = 200) -> ResponseReturnValue:
    titles = [(name, str(rules_plan.read_code(name)["title"])) for name in rules_plan.codes()]
    draft, newest = next_one.draft, next_one.newest
    view = {
        "changes": plan_page.build_changes(draft, newest, next_one.adopted, today()),
        "written": logs.plan.changes(newest, _with_words(next_one)) if draft.own else "",
        "plan": next_one.plan,
        "codes": titles,
        "new_rules": "" if draft.code else plan_page.new_rules(newest, today()),
        "lists_own_groups": plan_page.lists_own_groups(newest),
        "changed_by": plan_page.name_of(draft.changed_by, identity.current().site.people) if draft.changed_by else "",
    }
    return page("setup/plan_new.html", status, form=form, draft=draft, **view)


def _with_words(next_one: Coming) -> rules_plan.Adopted:
    """Give the newest version with what the kitchen is about to write itself, to say what of that changes."""
    own = next_one.own
    return replace(
        next_one.newest,
        items=tuple(sorted(own.items.items())),
        texts=tuple(sorted(own.texts.items())),
        attachments=tuple(own.attachments),
    )


def _version(number: int) -> ResponseReturnValue:
    plans, people = _plans(), identity.current().site.people
    adopted = next((plan for plan in plans if plan.version == number), None)
    if adopted is None:
        abort(404)
    is_newest = adopted is plans[-1]
    with get_database().reading() as session:
        draft = register.find_draft(session, kitchen(session))
        asked = read_reassessment(session, identity.current().site.code, as_of=clock.utc_now())
    view = plan_page.build_plan_page(adopted, people, today())
    history = plan_page.build_history(plans, people)
    said = logs.plan.occasions_words(asked)
    shown = {"plan": view, "history": history, "draft": draft, "reassessment": asked, "occasions": said}
    return page("setup/plan.html", 200, is_newest=is_newest, **shown)


def _plans() -> Sequence[rules_plan.Adopted]:
    with get_database().reading() as session:
        return ledger.read_plans(session, identity.current().site.code)


def today() -> date:
    """Give the date on the kitchen's clock."""
    return clock.utc_now().astimezone(identity.current().site.timezone).date()
