"""Who is at the screen: a person signed in with a password, or chosen by name and PIN on an enrolled tablet."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import wraps
from typing import ParamSpec

from flask import Response, abort, current_app, g, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app import clock, ledger, models, register
from app.kinds import permissions
from app.kinds.permissions import KnownBy, Permission
from app.rules.facts import Person, Site
from app.server import get_database

from ..parts.pages import page
from . import kept_posts

TABLET_COOKIE = "tablet"
_TABLET_COOKIE_AGE = timedelta(days=400)  # browsers keep a cookie no longer
_MILLISECOND = timedelta(milliseconds=1)
_P = ParamSpec("_P")


@dataclass(frozen=True, slots=True)
class Identity:
    """The person at the screen, their site, and how the ledger knows them."""

    person: Person
    site: Site
    caller: ledger.Caller
    tablet: str | None

    @property
    def author(self) -> ledger.Author:
        """In whose name changes of the register are written down."""
        return ledger.Author("session", self.person.login)

    @property
    def known_by(self) -> KnownBy:
        """What showed who this is."""
        return KnownBy.PASSWORD if self.tablet is None else KnownBy.PIN


@dataclass(frozen=True, slots=True)
class Tablet:
    """The enrolled tablet that asks: its site and its code."""

    site_code: str
    code: str


def current() -> Identity:
    """Give who is at the screen; 401 for nobody."""
    identity = find_current()
    if identity is None:
        abort(401)
    return identity


def find_current() -> Identity | None:
    """Give who is at the screen. Somebody retired, with changed credentials, or too long away is nobody."""
    if "identity" not in g:
        g.identity = _load()
    found: Identity | None = g.identity
    return found


def find_tablet() -> Tablet | None:
    """Give the tablet that this browser is enrolled as, while its credential stands."""
    if "tablet" not in g:
        text = request.cookies.get(TABLET_COOKIE)
        bearer = None
        if text:
            with get_database().reading() as database:
                bearer = register.find_credential(database, text, at=clock.utc_now())
        g.tablet = Tablet(bearer.site_code, bearer.tablet) if bearer and bearer.tablet else None
    found: Tablet | None = g.tablet
    return found


def may(permission: str) -> bool:
    """Whether the role of who is at the screen includes this, for templates too: `may("sign_day")`.

    That a PIN is not enough for it is said once somebody tries: they may sign in with the password then.
    """
    identity = find_current()
    return identity is not None and permissions.may(identity.person.role, Permission(permission))


def requires(
    permission: Permission, *, asks_pin: bool = False
) -> Callable[[Callable[_P, ResponseReturnValue]], Callable[_P, ResponseReturnValue]]:
    """Let only people in who may do this: nobody is asked to sign in, another role is told that this is not theirs.

    Whoever chose a name by PIN is asked for the password where a PIN is not enough. `asks_pin`: the page itself asks
    for the PIN once more.
    """

    def decorate(view: Callable[_P, ResponseReturnValue]) -> Callable[_P, ResponseReturnValue]:
        @wraps(view)
        def guarded(*args: _P.args, **kwargs: _P.kwargs) -> ResponseReturnValue:
            identity = find_current()
            if identity is None:
                return _ask_who()
            if not permissions.may(identity.person.role, permission):
                abort(403)
            known_by = KnownBy.PIN_AGAIN if asks_pin and identity.tablet else identity.known_by
            if not permissions.may(identity.person.role, permission, known_by):
                return _ask_password()
            return view(*args, **kwargs)

        guarded.permission, guarded.asks_pin = permission, asks_pin  # type: ignore[attr-defined]  # for docs/access.md
        return guarded

    return decorate


def sign_in(person: models.Person, site_code: str, *, tablet: str | None) -> None:
    """Begin a sign-in of this person. What the browser held of an earlier one is dropped."""
    probe, probe_person = session.get("probe"), session.get("probe_person")
    sign_out()
    session.clear()
    if tablet is not None and probe:
        session["probe"], session["probe_person"] = probe, probe_person  # to be confirmed by the next person
    now = clock.utc_now()
    with get_database().writing() as database:
        key = register.begin_sign_in(database, person, at=now)
    signed = {"site": site_code, "login": person.login, "tablet": tablet, "key": key}
    session["sign_in"] = {**signed, "at": _milliseconds(now), "seen": _milliseconds(now)}
    g.pop("identity", None)


def sign_out() -> None:
    """End the sign-in of this browser at once, for copies of its cookie too. An enrolled tablet stays enrolled."""
    signed = session.pop("sign_in", None)
    if signed:
        with get_database().writing() as database:
            register.end_sign_in(database, signed["key"])
    g.pop("identity", None)


def enrol(response: Response, text: str) -> None:
    """Make this browser the tablet whose credential this is; scripts cannot read it."""
    response.set_cookie(
        TABLET_COOKIE,
        text,
        max_age=_TABLET_COOKIE_AGE,
        secure=bool(current_app.config["SESSION_COOKIE_SECURE"]),
        httponly=True,
        samesite="Lax",
    )


def local_path(path: str | None) -> str | None:
    """Give a path to go on to, if it leads to a page of ours; another site's address never does."""
    if not path or not path.startswith("/") or path.startswith(("//", "/\\")) or not path.isprintable():
        return None
    return path


def _ask_who() -> ResponseReturnValue:
    if request.headers.get("X-Fragment"):
        return "", 401
    if request.method != "GET":
        return kept_posts.ask_again(on_tablet=find_tablet() is not None)
    endpoint = "signin.people" if find_tablet() else "signin.sign_in"
    path = request.full_path.removesuffix("?")
    return redirect(url_for(endpoint, next=None if path == "/" else path), 303)


def _ask_password() -> ResponseReturnValue:
    return page("setup/password_needed.html", 403, next=request.path if request.method == "GET" else "/")


def _load() -> Identity | None:
    now = clock.utc_now()
    signed = session.get("sign_in")
    if not signed or _is_over(signed, now):
        return None
    if signed["tablet"] and find_tablet() != Tablet(signed["site"], signed["tablet"]):
        return None
    with get_database().reading() as database:
        identity = _still_there(database, signed)
    if identity is not None and request.headers.get("X-Fragment") != "live":  # a page that refreshes itself is nobody
        session["sign_in"] = {**signed, "seen": _milliseconds(now)}
    return identity


def _still_there(database: Session, signed: dict[str, object]) -> Identity | None:
    row = register.find_site(database, str(signed["site"]))
    person = register.find_person(database, row, str(signed["login"])) if row else None
    site = ledger.read_site(database, str(signed["site"]))
    if person is None or site is None or person.retired_at is not None:
        return None
    if _milliseconds(person.credentials_at) > int(str(signed["at"])):
        return None
    if not register.is_signed_in(database, person, str(signed["key"])):
        return None
    tablet = str(signed["tablet"]) if signed["tablet"] else None
    via = f"tablet:{tablet}" if tablet else "session"
    caller = ledger.Caller(login=person.login, name=person.name, role=person.role, via=via)
    return Identity(site.people[person.login], site, caller, tablet)


def _is_over(signed: dict[str, int], now: datetime) -> bool:
    idle_min = current_app.config["TABLET_IDLE_MIN" if signed["tablet"] else "SESSION_IDLE_MIN"]
    longest = timedelta(hours=current_app.config["SESSION_HOURS"])
    is_idle = _milliseconds(now) - signed["seen"] > timedelta(minutes=idle_min) // _MILLISECOND
    return bool(is_idle or _milliseconds(now) - signed["at"] > longest // _MILLISECOND)


def _milliseconds(at: datetime) -> int:
    return (at - datetime(1970, 1, 1, tzinfo=UTC)) // _MILLISECOND
