"""Signing in and out: login and password anywhere, name and PIN on an enrolled tablet."""

from collections.abc import Callable

from flask import Blueprint, abort, flash, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session
from wtforms import HiddenField, PasswordField, SelectField, StringField

from app import clock, models, register, words
from app.kinds.permissions import Permission, may
from app.server import get_database

from ..parts.forms import PageForm
from ..parts.pages import page
from . import identity, kept_posts

blueprint = Blueprint("signin", __name__)


class SignInForm(PageForm):
    """Login and password; the site where there are several."""

    site = SelectField(_l("Kitchen"), validate_choice=False)
    login = StringField(_l("Sign-in name"))
    password = PasswordField(_l("Password"))
    next = HiddenField()
    kept = HiddenField()


class PinForm(PageForm):
    """The PIN of one person on a tablet."""

    pin = PasswordField(_l("PIN"))
    next = HiddenField()
    kept = HiddenField()


class TabletForm(PageForm):
    """A tablet's credential, as the command line or the page of tablets shows it once."""

    credential = PasswordField(_l("Credential of the tablet"))


@blueprint.route("/signin", methods=["GET", "POST"])
def sign_in() -> ResponseReturnValue:
    """Sign in with login and password."""
    form = SignInForm.of_request(next=request.args.get("next"))
    with get_database().reading() as session:
        sites = register.list_sites(session)
    form.site.choices = {site.code: site.name for site in sites}
    if request.method != "POST" or form.password.data is None:  # the page of an ended sign-in leads here by a post
        return page("signin/sign_in.html", form=form)
    site = next((site for site in sites if len(sites) == 1 or site.code == form.site.data), None)
    login, password = (form.login.data or "").strip(), form.password.data or ""
    person = checked(
        form, "login", site, login, lambda session: register.check_password(session, site, login, password)
    )
    if person is None or site is None:
        return page("signin/sign_in.html", 422, form=form)
    identity.sign_in(person, site.code, tablet=None)
    return _go_on(form)


@blueprint.post("/signout")
def sign_out() -> ResponseReturnValue:
    """Sign out; a tablet asks who is next."""
    identity.sign_out()
    flash(_("Signed out."))
    return redirect(url_for("signin.people" if identity.find_tablet() else "signin.sign_in"), 303)


@blueprint.route("/person", methods=["GET", "POST"])
def people() -> ResponseReturnValue:
    """On a tablet: choose who you are."""
    tablet = identity.find_tablet()
    if tablet is None:
        return redirect(url_for("signin.sign_in", next=request.args.get("next")), 303)
    form = PinForm.of_request(next=request.args.get("next"))
    with get_database().reading() as session:
        site = register.get_site(session, tablet.site_code)
        everybody = [person for person in register.list_people(session, site) if person.retired_at is None]
    kitchen = [person for person in everybody if _writes_here(person)]
    return page("signin/people.html", form=form, people=sorted(kitchen, key=lambda person: person.name), tablet=tablet)


@blueprint.route("/person/<login>", methods=["GET", "POST"])
def pin(login: str) -> ResponseReturnValue:
    """On a tablet: say with a PIN that it is you."""
    tablet = identity.find_tablet()
    if tablet is None:
        return redirect(url_for("signin.sign_in", next=request.args.get("next")), 303)
    form = PinForm.of_request(next=request.args.get("next"))
    with get_database().reading() as session:
        site = register.get_site(session, tablet.site_code)
        person = register.find_person(session, site, login)
    if person is None or person.retired_at is not None or not _writes_here(person):
        abort(404)
    if form.pin.data is None:
        return page("signin/pin.html", form=form, person=person)
    typed = form.pin.data
    found = checked(form, "pin", site, login, lambda session: register.check_pin(session, site, login, typed))
    if found is None:
        return page("signin/pin.html", 422, form=form, person=person)
    identity.sign_in(found, site.code, tablet=tablet.code)
    return _go_on(form)


@blueprint.route("/tablet", methods=["GET", "POST"])
def tablet() -> ResponseReturnValue:
    """Make this browser the tablet whose credential is typed here."""
    form = TabletForm.of_request()
    if request.method != "POST":
        return page("signin/tablet.html", form=form, tablet=identity.find_tablet())
    text, now = (form.credential.data or "").strip(), clock.utc_now()
    key = register.throttle_key("sender", request.remote_addr)
    with get_database().writing() as session:
        wait = register.wait_s(session, key, now)
        bearer = None if wait else register.find_credential(session, text, at=now)
        if bearer is None and not wait:
            register.record_failure(session, key, now)
    if bearer is None or bearer.tablet is None:
        form.refuse(
            "credential", _blocked(wait) if wait else _("This is not the credential of a tablet, or it was revoked.")
        )
        return page("signin/tablet.html", 422, form=form, tablet=identity.find_tablet())
    answer = make_response(redirect(url_for("signin.people"), 303))
    identity.sign_out()
    identity.enrol(answer, text)
    return answer


def checked(
    form: PageForm, kind: str, site: models.Site | None, login: str, check: Callable[[Session], models.Person | None]
) -> models.Person | None:
    """Give the person whose password or PIN this is. A try counts as failed before it is known: so a burst counts."""
    field = "password" if kind == "login" else kind
    now = clock.utc_now()
    key = register.throttle_key(kind, site.id if site else 0, login)
    with get_database().writing() as session:
        wait = register.wait_s(session, key, now)
        if not wait:
            register.record_failure(session, key, now)
    if wait:
        form.refuse(field, _blocked(wait))
        return None
    with get_database().reading() as session:
        person = check(session)
    if person is None:
        form.refuse(field, words.error_words(field, "wrong"))
        return None
    with get_database().writing() as session:
        register.record_success(session, key)
    return person


def _writes_here(person: models.Person) -> bool:
    """Whether a tablet is for this person: whoever only reads signs in with the password."""
    return may(person.role, Permission.RECORD_KITCHEN_ENTRY)


def _blocked(wait: int) -> str:
    if wait >= register.NEVER_S:
        return str(_("Too many tries. The person in charge has to set a new one."))
    return words.error_words("password", "blocked", {"seconds": wait})


def _go_on(form: SignInForm | PinForm) -> ResponseReturnValue:
    path = identity.local_path(form.next.data) or url_for("home.now")
    fields = kept_posts.unpack(form.kept.data)
    if fields:
        return page("signin/go_on.html", path=path, fields=fields)
    return redirect(path, 303)
