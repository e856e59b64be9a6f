"""Who is at the screen: a person signed in with a password, one known by name and PIN at a tablet, or nobody there.

An enrolled tablet shows the work to whoever stands before it; who it is is asked when something is saved.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import wraps
from typing import ParamSpec

from flask import Response, abort, g, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from sqlalchemy.orm import Session

from app import clock, ledger, register, words
from app.db import milliseconds
from app.kinds import permissions
from app.kinds.permissions import ASKED_WHEN_SAVED, PIN_EACH_TIME, SHOWN_TO_NOBODY, KnownBy, Permission
from app.rules.facts import Person, Site
from app.server import get_database

from ..parts.pages import page
from . import cookies, kept_posts
from .signed import SignedIn

_TABLET_COOKIE = "tablet"
_TABLET_COOKIE_AGE = timedelta(days=400)  # browsers keep a cookie no longer
_P = ParamSpec("_P")
_View = Callable[_P, ResponseReturnValue]


@dataclass(frozen=True, slots=True)
class Identity:
    """Who is at the screen, their site, and how the ledger knows them; at a tablet `somebody` may be None."""

    site: Site
    caller: ledger.Caller
    tablet: str | None
    somebody: Person | None = None
    leaves_at: datetime | None = None
    """When the person is no longer there, if no page is asked for until then."""

    @property
    def person(self) -> Person:
        """The person; 401 where nobody is at the tablet."""
        return self.somebody or abort(401)

    @property
    def author(self) -> ledger.Author:
        """In whose name changes of the register are written down."""
        return ledger.Author("session", self.person.login)

    def known_for(self, permission: Permission) -> KnownBy:
        """What shows who this is, once what is asked for this act has been answered."""
        if self.somebody is None:
            return KnownBy.NOBODY
        if self.tablet is None:
            return KnownBy.PASSWORD
        return KnownBy.PIN_AGAIN if permission in PIN_EACH_TIME else KnownBy.PIN

    @property
    def role(self) -> str:
        """Whose pages are shown."""
        return self.caller.role


@dataclass(frozen=True, slots=True)
class Tablet:
    """The enrolled tablet that asks: its site and its code."""

    site_code: str
    code: str


def current() -> Identity:
    """Give who is at the screen, be it a tablet with nobody at it; 401 where neither is known."""
    identity = find_current()
    if identity is None:
        abort(401)
    return identity


def find_current() -> Identity | None:
    """Give who is at the screen. Whoever retired, got another PIN or role, or was away for too long is not there."""
    if "identity" not in g:
        g.identity = _load()
        if g.identity is not None:
            words.show_clock(g.identity.site.clock)
            words.show_own_checks(g.identity.site.own_checks)
    found: Identity | None = g.identity
    return found


def find_tablet() -> Tablet | None:
    """Give the tablet that this browser is enrolled as, while its credential stands."""
    if "tablet" not in g:
        text = cookies.read(request, _TABLET_COOKIE)
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
    return identity is not None and _includes(identity, Permission(permission))


def page_of() -> Markup | str:
    """Give the field of a form that says who was at the tablet when its page was made; empty elsewhere."""
    identity = find_current()
    if identity is None or identity.tablet is None:
        return ""
    return Markup('<input type="hidden" name="page_of" value="{}">').format(identity.caller.login)


def _includes(identity: Identity, permission: Permission) -> bool:
    known_by = KnownBy.NOBODY if identity.somebody is None else KnownBy.PASSWORD
    return permissions.may(identity.role, permission, known_by)


def requires(permission: Permission, *, to_nobody: bool = False) -> Callable[[_View[_P]], _View[_P]]:
    """Let only people in who may do this: nobody is asked to sign in, another role is told that this is not theirs.

    Whoever chose a name by PIN is asked for the password where a PIN is not enough. A tablet with nobody at it shows
    what a cook sees, and what is shown `to_nobody`; what is typed there is not refused: who it is is asked on saving.
    """

    def decorate(view: _View[_P]) -> _View[_P]:
        @wraps(view)
        def guarded(*args: _P.args, **kwargs: _P.kwargs) -> ResponseReturnValue:
            identity = find_current()
            if identity is None:
                return _ask_who()
            if identity.somebody is None:
                is_shown = to_nobody or _includes(identity, permission) or _is_asked_later(permission)
                return view(*args, **kwargs) if is_shown else _ask_who()
            if not permissions.may(identity.role, permission):
                abort(403)
            if not permissions.may(identity.role, permission, identity.known_for(permission)):
                return _ask_password()
            return view(*args, **kwargs)

        # Read where docs/access.md is made.
        guarded.permission, guarded.to_nobody = permission, to_nobody  # type: ignore[attr-defined]
        return guarded

    return decorate


def _is_asked_later(permission: Permission) -> bool:
    """Whether this was sent from a tablet with nobody at it, and is saved once somebody says who they are."""
    return request.method == "POST" and permission in ASKED_WHEN_SAVED


def enrol(response: Response, text: str) -> None:
    """Make this browser the tablet whose credential this is; scripts cannot read it."""
    cookies.set_for_long(response, _TABLET_COOKIE, text, _TABLET_COOKIE_AGE)


def local_path(path: str | None) -> str | None:
    """Give a path to go on to, if it leads to a page of ours; another site's address never does."""
    if not path or not path.startswith("/") or path.startswith(("//", "/\\")) or not path.isprintable():
        return None
    return path


def _ask_who() -> ResponseReturnValue:
    if request.headers.get("X-Fragment"):
        return "", 401
    if request.method != "GET":
        return kept_posts.ask_again()
    endpoint = "signin.people" if find_tablet() else "signin.sign_in"
    path = request.full_path.removesuffix("?")
    return redirect(url_for(endpoint, next=None if path == "/" else path), 303)


def _ask_password() -> ResponseReturnValue:
    return page("setup/password_needed.html", 403, next=request.path if request.method == "GET" else "/")


def _load() -> Identity | None:
    signed, now = SignedIn.of(session.get("sign_in")), clock.utc_now()
    if signed is None or signed.is_over(now) or not _is_here(signed):
        return _tablet_alone()
    if request.headers.get("X-Fragment") != "live":  # a page that refreshes itself is nobody
        signed = replace(signed, seen=milliseconds(now))
    with get_database().reading() as database:
        found = _signed_in(database, signed)
    if found is None:
        return _tablet_alone()
    if (
        session.get("sign_in") != signed.kept()
    ):  # what was saved meanwhile is told by the cookie: it is not written over
        session["sign_in"] = signed.kept()
    return found


def _is_here(signed: SignedIn) -> bool:
    return signed.tablet is None or find_tablet() == Tablet(signed.site, signed.tablet)


def _signed_in(database: Session, signed: SignedIn) -> Identity | None:
    person, site = signed.find_person(database), ledger.read_site(database, signed.site)
    if person is None or site is None:
        return None
    caller = ledger.Caller(
        login=person.login,
        name=person.name,
        role=person.role,
        via=_via(signed.tablet),
        identified=signed.identified,
    )
    return Identity(site, caller, signed.tablet, somebody=site.people[person.login], leaves_at=signed.leaves_at)


def _tablet_alone() -> Identity | None:
    tablet = find_tablet()
    if tablet is None:
        return None
    with get_database().reading() as database:
        site = ledger.read_site(database, tablet.site_code)
    caller = ledger.Caller(login="", name="", role=SHOWN_TO_NOBODY, via=_via(tablet.code))
    return Identity(site, caller, tablet.code) if site else None


def _via(tablet: str | None) -> str:
    return f"tablet:{tablet}" if tablet else "session"
