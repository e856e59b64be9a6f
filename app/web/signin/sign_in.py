"""Signing in and out: login and password anywhere, the name and the PIN on an enrolled tablet."""

from collections.abc import Sequence
from typing import Any

from flask import Blueprint, flash, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, PasswordField, StringField

from app import clock, models, register
from app.server import get_database

from ..parts.page_form import PageForm
from ..parts.pages import page
from . import identity, kept_posts, known_browsers, saver, sign_ins
from .checking import blocked_words, checked

blueprint = Blueprint("signin", __name__)


class SignInForm(PageForm):
    """Login and password; where there are several kitchens, the code of the one that is meant."""

    site = StringField(_l("Code of the kitchen"))
    login = StringField(_l("Sign-in name"))
    password = PasswordField(_l("Password"))
    next = HiddenField()
    kept = HiddenField()


class TabletForm(PageForm):
    """A tablet's credential, as the command line or the page of tablets shows it once."""

    credential = PasswordField(_l("Credential of the tablet"))


@blueprint.route("/signin", methods=["GET", "POST"])
def sign_in() -> ResponseReturnValue:
    """Sign in with login and password."""
    here = identity.find_tablet()
    form = SignInForm.of_request(
        next=request.args.get("next"), site=here.site_code if here else known_browsers.last_site()
    )
    with get_database().reading() as session:
        sites = register.list_sites(session)
    shown: dict[str, Any] = {"form": form, "asks_site": len(sites) > 1}
    if request.method != "POST" or form.password.data is None:  # the page of an ended sign-in leads here by a post
        return page("signin/sign_in.html", **shown)
    site = _site_of(sites, form.site.data or "")
    login, password = (form.login.data or "").strip(), form.password.data or ""
    person = checked(
        form, "login", site, login, lambda session: register.check_password(session, site, login, password)
    )
    if person is None or site is None:
        return page("signin/sign_in.html", 422, **shown)
    sign_ins.sign_in(person, site.code, tablet=None)
    known_browsers.remember(site.code, person.login)
    return _go_on(form)


def _site_of(sites: Sequence[models.Site], typed: str) -> models.Site | None:
    """Give the kitchen of the code that was typed, or the only one. Which there are is told to nobody outside."""
    if len(sites) == 1:
        return sites[0]
    code = typed.strip()
    alike = [site for site in sites if site.code.casefold() == code.casefold()]
    return next((site for site in alike if site.code == code or len(alike) == 1), None)


@blueprint.post("/signout")
def sign_out() -> ResponseReturnValue:
    """Sign out; an enrolled tablet goes on showing the work."""
    sign_ins.sign_out()
    if identity.find_tablet():
        flash(_("Nobody is at this tablet now. It asks when you save."))
        return redirect(url_for("home.now"), 303)
    flash(_("Signed out."))
    return redirect(url_for("signin.sign_in"), 303)


@blueprint.route("/person", methods=["GET", "POST"])
def people() -> ResponseReturnValue:
    """On a tablet: say who you are, before anything is saved or in the place of whoever is there."""
    if identity.find_tablet() is None:
        return redirect(url_for("signin.sign_in", next=request.args.get("next")), 303)
    form = saver.WhoForm.of_request(next=request.args.get("next"))
    if request.method == "POST" and saver.identify(form):
        return redirect(identity.local_path(form.next.data) or url_for("home.now"), 303)
    present = identity.current().somebody
    others = [name for name in saver.names() if present is None or name.login != present.login]
    status = 422 if form.errors_at() else 200
    return page("signin/people.html", status, form=form, names=others)


@blueprint.get("/who")
def who() -> ResponseReturnValue:
    """Give the part of the header that says from whom the tablet takes entries now."""
    return page("_parts/who.html", 200 if identity.find_current() else 401)


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
            "credential",
            blocked_words(wait) if wait else _("This is not the credential of a tablet, or it was revoked."),
        )
        return page("signin/tablet.html", 422, form=form, tablet=identity.find_tablet())
    answer = make_response(redirect(url_for("home.now"), 303))
    sign_ins.forget_everybody()
    identity.enrol(answer, text)
    return answer


def _go_on(form: SignInForm) -> ResponseReturnValue:
    path = identity.local_path(form.next.data) or url_for("home.now")
    fields = kept_posts.unpack(form.kept.data)
    if fields:
        return page("signin/go_on.html", path=path, fields=fields)
    return redirect(path, 303)
