"""Who asks: the bearer token, its site and role, and how often somebody may guess."""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec

from flask import Response, current_app, g, request
from flask_babel import gettext as _
from werkzeug.datastructures import WWWAuthenticate
from werkzeug.exceptions import Forbidden, NotFound, TooManyRequests, Unauthorized

from app import clock, register
from app.kinds.permissions import LEFT_OUT, KnownBy, Permission, may
from app.register import Bearer
from app.server import get_database

_P = ParamSpec("_P")


def requires(permission: Permission) -> Callable[[Callable[_P, Response]], Callable[_P, Response]]:
    """Let only in who may do this at the site of the address: a person by token, or a tablet, which only adds.

    Raises 401, 403, 404, 429. What each kind of entry takes beyond that, the ledger asks.
    """

    def decorate(view: Callable[_P, Response]) -> Callable[_P, Response]:
        @wraps(view)
        def guarded(*args: _P.args, **kwargs: _P.kwargs) -> Response:
            g.bearer = _let_in(_bearer(str((request.view_args or {})["site"])), permission)
            return view(*args, **kwargs)

        guarded.permission = permission  # type: ignore[attr-defined]  # read where docs/access.md is made
        return guarded

    return decorate


def current() -> Bearer:
    """Give who was let in."""
    bearer: Bearer = g.bearer
    return bearer


def _let_in(bearer: Bearer, permission: Permission) -> Bearer:
    if bearer.tablet is not None and permission in LEFT_OUT[KnownBy.TABLET]:
        raise Forbidden(_("A tablet's credential only adds entries; reading needs a person's token."))
    if bearer.tablet is None and not may(bearer.role, permission, KnownBy.TOKEN):
        raise Forbidden(_("The role of whoever holds this token does not do this."))
    return bearer


def spend_write(bearer: Bearer) -> None:
    """Count a write, where the setting WRITES_PER_MINUTE limits them. Raises 429."""
    allowed = current_app.config["WRITES_PER_MINUTE"]
    if not allowed:
        return
    key = register.throttle_key("use", bearer.number)
    with get_database().writing() as session:
        is_allowed = register.spend(session, key, clock.utc_now(), a_minute=allowed)
    if not is_allowed:
        raise TooManyRequests(_("This token has used up its writes of this minute. Nothing was kept."), retry_after=60)


def _bearer(site: str) -> Bearer:
    scheme, _blank, text = request.headers.get("Authorization", "").partition(" ")
    if scheme.lower() != "bearer" or not text.strip():
        raise _unauthorized(_("A bearer token is needed."))
    # A bare connection: a session would double what this one query costs each request.
    with get_database().engine.connect() as connection:
        bearer = register.find_credential(connection, text.strip(), at=clock.utc_now())
    if bearer is None:
        _refuse_token()
    elif bearer.site_code == site:
        return bearer
    # Another kitchen is as good as none: a token learns nothing about it.
    raise NotFound(_("There is no such site for this token."))


def _refuse_token() -> None:
    """Count a wrong token against its sender. A right one is never held up by somebody else's wrong ones."""
    key, at = register.throttle_key("token", request.remote_addr), clock.utc_now()
    with get_database().reading() as session:
        wait_s = register.wait_s(session, key, at)
    if wait_s:
        raise TooManyRequests(_("Too many wrong tokens came from this address."), retry_after=wait_s)
    with get_database().writing() as session:
        register.record_failure(session, key, at)
    raise _unauthorized(_("This token is not valid here, or no longer."))


def _unauthorized(detail: str) -> Unauthorized:
    return Unauthorized(detail, www_authenticate=WWWAuthenticate("bearer", {"realm": "Roast Ledger"}))
