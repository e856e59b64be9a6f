"""Tablets and tokens: enrolling this browser or another device, API tokens of people, the lists, and revoking."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from flask import Blueprint, abort, flash, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import SelectField, StringField

from app import clock, register, words
from app.kinds.permissions import Permission
from app.register.credentials import Listed
from app.rules.facts import Site
from app.server import get_database

from ..parts.forms import count
from ..parts.page_form import PageForm
from ..parts.pages import page
from ..signin import identity, sign_ins
from ..signin.identity import requires
from ..signin.password_again import may_change_access, own_password_field
from .index import changing, kitchen, refusals_at

blueprint = Blueprint("credentials", __name__, url_prefix="/setup")


class TabletForm(PageForm):
    """A tablet to enrol: its code is the prefix of the names that it proposes."""

    tablet = StringField(_l("Code of the tablet"))
    own_password = own_password_field("tablet")


class TokenForm(PageForm):
    """A token for one person (oneself, unless another is chosen), for so many days."""

    login = SelectField(_l("For whom"), validate_choice=False)
    days = StringField(_l("Valid for how many days"), default="90")
    own_password = own_password_field("token")


@dataclass(frozen=True, slots=True)
class Row:
    """A credential as the list shows it; `state` is valid, expired or revoked."""

    number: int
    holder: str
    since: str
    state: str
    words: str


@dataclass(frozen=True, slots=True)
class Shown:
    """A credential at the one moment when its text can be read."""

    number: int
    holder: str
    text: str
    is_tablet: bool


@blueprint.get("/tablets")
@requires(Permission.READ_SETUP)
def tablets() -> ResponseReturnValue:
    """Show the enrolled tablets, and the form for another."""
    return _tablets(TabletForm.of_request())


@blueprint.post("/tablets")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def enrol() -> ResponseReturnValue:
    """Enrol a tablet: this browser, or another device by a credential that is shown once."""
    form = TabletForm.of_request()
    if not may_change_access(form):
        return _tablets(form, 422)
    with refusals_at(form):
        with changing() as (session, site, now):
            number, text = register.issue_tablet(
                session, site, form.tablet.data or "", at=now, by=identity.current().author
            )
        code = (form.tablet.data or "").strip()
        if request.form.get("where") != "here":
            return _once(Shown(number, code, text, is_tablet=True))
        answer = make_response(redirect(url_for("home.now"), 303))
        sign_ins.forget_everybody()
        identity.enrol(answer, text)
        flash(_("This browser is tablet %(code)s from now on.", code=code))
        return answer
    return _tablets(form, 422)


@blueprint.get("/tablets/lost")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def lost() -> ResponseReturnValue:
    """Show the tablets that stand as buttons: a tap ends one, from a phone in the street too."""
    return page("setup/lost.html", listed=[row for row in _listed(is_tablet=True) if row.state == "valid"])


@blueprint.get("/tokens")
@requires(Permission.READ_SETUP)
def tokens() -> ResponseReturnValue:
    """Show the API tokens, and the form for another."""
    return _tokens(TokenForm.of_request(login=identity.current().person.login))


@blueprint.post("/tokens")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def issue() -> ResponseReturnValue:
    """Issue a token to a person; its text is shown once."""
    form = TokenForm.of_request()
    if not may_change_access(form):
        return _tokens(form, 422)
    days = count(form.days.data)
    if not isinstance(days, int):
        form.refuse("days", _("Give a whole number of days, e.g. 90."))
        return _tokens(form, 422)
    with refusals_at(form), changing() as (session, site, now):
        person = register.get_person(session, site, form.login.data or "")
        number, text = register.issue_token(session, person, days=days, at=now, by=identity.current().author)
        shown = Shown(number, person.name, text, is_tablet=False)
    return _tokens(form, 422) if form.errors_at() else _once(shown)


@blueprint.post("/credentials/<int:number>/revoke")
@requires(Permission.KEEP_TABLETS_AND_TOKENS)
def revoke(number: int) -> ResponseReturnValue:
    """End a tablet's credential or a token at once."""
    with get_database().reading() as session:
        rows = register.list_credentials(session, kitchen(session))
    listed = next((row for row in rows if row.number == number), None)
    if listed is None:
        abort(404)
    form = PageForm()
    with refusals_at(form), changing() as (session, site, now):
        register.revoke_credential(session, site, number, at=now, by=identity.current().author)
        flash(_ended(listed))
    for error in form.errors_at():
        flash(error.text, "error")
    return redirect(url_for("credentials.tablets" if listed.is_tablet else "credentials.tokens"), 303)


def _ended(listed: Listed) -> str:
    if listed.is_tablet:
        return str(_("Tablet %(code)s was revoked. It shows nothing and saves nothing any more.", code=listed.holder))
    return str(_("Number %(number)s was revoked.", number=listed.number))


def _tablets(form: TabletForm, status: int = 200) -> ResponseReturnValue:
    return page("setup/tablets.html", status, form=form, listed=_listed(is_tablet=True), this=identity.find_tablet())


def _tokens(form: TokenForm, status: int = 200) -> ResponseReturnValue:
    with get_database().reading() as session:
        people = register.list_people(session, kitchen(session))
    form.login.choices = {person.login: person.name for person in people if person.retired_at is None}
    return page("setup/tokens.html", status, form=form, listed=_listed(is_tablet=False))


def _once(shown: Shown) -> ResponseReturnValue:
    answer = make_response(page("setup/shown_once.html", shown=shown))
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _listed(*, is_tablet: bool) -> Sequence[Row]:
    """Give the tablets or the tokens, the newest first."""
    site, now = identity.current().site, clock.utc_now()
    with get_database().reading() as session:
        listed = register.list_credentials(session, kitchen(session))
    return [_row(credential, site, now) for credential in reversed(listed) if credential.is_tablet == is_tablet]


def _row(credential: Listed, site: Site, now: datetime) -> Row:
    state, said = _state(credential, site.timezone, now)
    person = None if credential.is_tablet else site.people.get(credential.holder)
    holder = person.name if person else credential.holder
    since = words.day_words(credential.added_at.astimezone(site.timezone).date())
    return Row(credential.number, holder, since, state, said)


def _state(credential: Listed, zone: ZoneInfo, now: datetime) -> tuple[str, str]:
    if credential.revoked_at is not None:
        return "revoked", _("revoked %(day)s", day=words.day_words(credential.revoked_at.astimezone(zone).date()))
    if credential.expires_at is None:
        return "valid", _("valid")
    day = words.day_words(credential.expires_at.astimezone(zone).date())
    return (
        ("valid", _("valid until %(day)s", day=day))
        if credential.expires_at > now
        else ("expired", _("expired %(day)s", day=day))
    )
