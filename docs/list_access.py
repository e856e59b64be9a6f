"""Writes docs/access.md anew from the tables of permissions and the app's routes. Run: python -m docs.list_access"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from flask import Flask
from werkzeug.routing import Rule

from app import create_app, words
from app.kinds.permissions import (
    ASKED_WHEN_SAVED,
    FIRST_ROLE,
    LEFT_OUT,
    PIN_EACH_TIME,
    ROLES,
    SHOWN_TO_NOBODY,
    WRITES,
    KnownBy,
    Permission,
    may,
)

PAGE = Path(__file__).parent / "access.md"

_HEAD = """# Who may do what

Made from `app/kinds/permissions.py` and the routes by `docs/list_access.py`. Each role includes permissions, named for
the act, and everybody belongs to one kitchen. Whoever is signed in sees that kitchen and nothing of any other: what
another kitchen has is not even said to exist.

{acts}

Writing an entry takes what its kind takes, through the pages and `/api/` alike:

{kinds}

How somebody is known decides too:

- **Signed in with a password**: everything of the role. A sign-in ends after an hour without a page and after twelve
  hours at most; at once when the person is retired, or gets another role, password or PIN.
- **Known by name and PIN at an enrolled tablet**: for writing things down. A PIN is short and others stand beside the
  tablet, so the password is asked for in any case before a day is signed, and whoever is there by PIN has left after
  ten minutes without a page. Somebody who was there within the last five minutes comes back by the name alone; the
  entry says so (`identified` is `recent`, else `pin`). The PIN is asked for each time where an act takes
  {each_time}.
  It leaves out:
  {pin}
- **An enrolled tablet with nobody at it** shows what a {shown} sees, up to date, whoever stands before it. What is
  typed there is kept once somebody says who they are: that is asked when it is saved. It leaves out:
  {nobody}
- **A person's token** (for programs): the role of the person at that moment. It leaves out:
  {token}
- **A tablet's credential** (for programs on that tablet): writes in the name of anybody of the kitchen whose role
  includes `record_kitchen_entry`, as far as that role goes. It is for nothing but:
  {tablet}

Whoever wrote a corrective action does not accept it: somebody else who may `review_action` does. Only where nobody else
who may made an entry on that day does the author's own acceptance count, and the log says so. Whoever made records of a
day may sign it as "reviewed by the person who made the records", which is printed too. A kitchen is never without
somebody who may `keep_people` and somebody who may `sign_day`: the last one is not retired and keeps their role.

Before somebody sets anybody's password, PIN, role, token or tablet, or adds or retires somebody, they type their own
password again; it counts for five minutes, which the server keeps with the sign-in. Ending a tablet or a token wants
none: that may have to be quick. Whoever is concerned is told at their next sign-in who did it and when, and their
account lists it for good.

Wrong passwords, PINs and tokens are counted whoever serves the request. A password is counted by name and sender, and
by name in all: after a few the wait grows to a quarter of an hour, and after 50 in a row from one place, 100 in all,
it opens nothing until somebody who may `keep_people` sets a new one. An enrolled tablet, and a browser in which this
person signed in before, count for themselves: whatever is guessed outside, they are let pass. A PIN is counted by name
and tablet. Made-up names cost their sender the same waits, and are checked one at a time.

Whoever has a link for an inspector sees the days that it names, their logs, the plan and the probe checks, and nothing
else, until it ends by itself or is ended (*Set-up*, *Links for an inspector*). Only the SHA-256 of its text is kept, no
cookie is set, every use is written down with its sender, and guesses cost their sender the waits of a wrong token.

Nobody is deleted, only retired. Who is not signed in and on no enrolled tablet is not told which kitchens there are.

## A new role

A new role is one line in `ROLES` of `app/kinds/permissions.py`, its name at most 16 letters; the database takes it
without a migration. Where its name should read otherwise on the pages, `app/words/names.py` has its word. Then make
this page anew.

## Every route

`yes`: the page is there, whatever it then says to what was sent. `no`: it belongs to another role. `sign in`: who is
asking is asked for. `not there`: there is no such thing in the kitchen of whoever asks. A test walks every route as
everybody and holds this table.

"Tablet" is an enrolled tablet with a person in charge at it by PIN, "tablet alone" one with nobody at it: what is sent
there asks who is saving before anything is kept. At `/api/` both are the tablet's own credential. In the last column
somebody in charge of another kitchen asks for things of this one; pages without a thing's name in them show that
person's own kitchen.

{routes}
"""

_THINGS = frozenset(
    ("site", "login", "code", "entry_id", "number", "load", "tray", "batch", "reheat", "probe", "unit", "seq")
)
"""What a route names of one kitchen; another kitchen has no such thing."""

_FOR_STRANGERS = {"plan.version": "yes", "holding.emptied": "yes", "findings.act": "not there"} | {
    "releasing.release": "not there"
}
"""Every kitchen has a first plan; whether a tray is there is said by the page after; the finding is in the query."""

_AT_TABLETS = frozenset(("signin.people", "signin.sign_out"))
"""Open to everybody; without an enrolled tablet they lead to the page that signs in."""


def text(app: Flask) -> str:
    """Give the whole page."""
    rules = list(_rules(app))
    used = {*WRITES.values(), *(permission_of(app, rule) for _, rule in rules)}
    permissions = [one for one in Permission if one in used]
    return _HEAD.format(
        acts=_table(("act", "permission", *map(words.role_word, ROLES)), map(_act, permissions)),
        kinds=_table(("kind", "takes"), _kinds()),
        pin=_list(one for one in permissions if one in LEFT_OUT[KnownBy.PIN_AGAIN]),
        each_time=_list(one for one in permissions if one in PIN_EACH_TIME),
        nobody=_list(one for one in permissions if one in LEFT_OUT[KnownBy.NOBODY]),
        shown=words.role_word(SHOWN_TO_NOBODY),
        token=_list(one for one in permissions if one in LEFT_OUT[KnownBy.TOKEN]),
        tablet=_list(one for one in permissions if one not in LEFT_OUT[KnownBy.TABLET]),
        routes=_table(
            ("Route", "takes", "nobody", *map(words.role_word, ROLES), "tablet", "tablet alone", "another kitchen's"),
            ([f"`{method} {rule.rule}`", *_route(app, rule, method)] for method, rule in rules),
        ),
    )


def permission_of(app: Flask, rule: Rule) -> Permission | None:
    """Give what a route takes; None where it is open to everybody."""
    found: Permission | None = getattr(app.view_functions[rule.endpoint], "permission", None)
    return found


def _act(permission: Permission) -> Sequence[str]:
    return [permission.says, f"`{permission}`", *(_yes(may(role, permission)) for role in ROLES)]


def _kinds() -> Iterator[Sequence[str]]:
    for kind, permission in WRITES.items():
        yield f"`{kind}`", f"`{permission}`"
    yield "every other", f"`{Permission.RECORD_KITCHEN_ENTRY}`"


def _rules(app: Flask) -> Iterator[tuple[str, Rule]]:
    """Give every route with each of its methods, the API last."""
    for rule in sorted(app.url_map.iter_rules(), key=lambda rule: (rule.rule.startswith("/api/"), rule.rule)):
        for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"}):
            yield method, rule


def _route(app: Flask, rule: Rule, method: str) -> Sequence[str]:
    permission = permission_of(app, rule)
    if permission is None:
        others = "sign in" if rule.endpoint in _AT_TABLETS else "yes"
        nobody = "sign in" if rule.endpoint == "signin.who" else others
        return ["", nobody, *(others for _ in ROLES), "yes", "yes", others]
    roles = (_yes(may(role, permission)) for role in ROLES)
    tablets = (_tablet(rule, permission), _alone(app, rule, permission, method))
    return [f"`{permission}`", "sign in", *roles, *tablets, _stranger(rule, permission)]


def _tablet(rule: Rule, permission: Permission) -> str:
    by_pin = KnownBy.PIN_AGAIN if permission in PIN_EACH_TIME else KnownBy.PIN
    return _yes(may(FIRST_ROLE, permission, KnownBy.TABLET if rule.rule.startswith("/api/") else by_pin))


def _alone(app: Flask, rule: Rule, permission: Permission, method: str) -> str:
    """Give what becomes of a tablet with nobody at it; the API knows it by its credential all the same."""
    if rule.rule.startswith("/api/"):
        return _tablet(rule, permission)
    is_asked_later = method == "POST" and permission in ASKED_WHEN_SAVED
    is_shown = getattr(app.view_functions[rule.endpoint], "to_nobody", False)
    shown = is_shown or is_asked_later or may(SHOWN_TO_NOBODY, permission, KnownBy.NOBODY)
    return "yes" if shown else "sign in"


def _stranger(rule: Rule, permission: Permission) -> str:
    is_named = bool(rule.arguments & _THINGS)
    return _FOR_STRANGERS.get(rule.endpoint, "not there" if is_named else _yes(may(FIRST_ROLE, permission)))


def _yes(is_allowed: bool) -> str:
    return "yes" if is_allowed else "no"


def _list(permissions: Iterable[Permission]) -> str:
    return ", ".join(f"`{one}`" for one in permissions)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    return "\n".join(f"| {' | '.join(row)} |" for row in (head, ["---"] * len(head), *rows))


def docs_app() -> Flask:
    """Give an app for its routes alone."""
    return create_app({"DATABASE_URL": "sqlite://", "SECRET_KEY": "docs"})


if __name__ == "__main__":
    PAGE.write_text(text(docs_app()), "utf-8")
