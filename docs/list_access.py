"""Writes docs/access.md anew from the tables of permissions and the app's routes. Run: python -m docs.list_access"""

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from flask import Flask
from werkzeug.routing import Rule

from app import create_app, words
from app.kinds.permissions import FIRST_ROLE, LEFT_OUT, ROLES, WRITES, KnownBy, Permission, may

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
- **Chosen by name and PIN on an enrolled tablet**: for writing things down. A PIN is short and others stand beside the
  tablet, so the password is asked for in any case before a day is signed, and a sign-in by PIN ends after ten minutes
  without a page. It leaves out:
  {pin}
  Where the page asks for the PIN once more, it includes {again}.
- **A person's token** (for programs): the role of the person at that moment. It leaves out:
  {token}
- **A tablet's credential** (for programs on that tablet): writes in the name of anybody of the kitchen whose role
  includes `record_kitchen_entry`, as far as that role goes. It is for nothing but:
  {tablet}

Whoever wrote a corrective action does not accept it: somebody else who may `review_action` does. Only where nobody else
who may made an entry on that day does the author's own acceptance count, and the log says so. Whoever made records of a
day may sign it as "reviewed by the person who made the records", which is printed too. A kitchen is never without
somebody who may `keep_people` and somebody who may `sign_day`: the last one is not retired and keeps their role.

Wrong passwords, PINs and tokens are counted whoever serves the request: after a few the wait grows to a quarter of an
hour, and after 50 in a row a password or PIN opens nothing until somebody who may `keep_people` sets a new one.

## A new role

A new role is one line in `ROLES` of `app/kinds/permissions.py`, its name at most 16 letters; the database takes it
without a migration. Where its name should read otherwise on the pages, `app/words/names.py` has its word. Then make
this page anew.

## Every route

`yes`: the page is there, whatever it then says to what was sent. `no`: it belongs to another role. `sign in`: who is
asking is asked for. `not there`: there is no such thing in the kitchen of whoever asks. A test walks every route as
everybody and holds this table.

"Tablet" is an enrolled tablet with a person in charge at it by PIN; at `/api/` it is the tablet's own credential. In
the last column somebody in charge of another kitchen asks for things of this one; pages without a thing's name in them
show that person's own kitchen.

{routes}
"""

_THINGS = frozenset(("site", "login", "code", "entry_id", "number", "load", "tray", "batch", "reheat", "probe", "unit"))
"""What a route names of one kitchen; another kitchen has no such thing."""

_FOR_STRANGERS = {"plan.version": "yes", "holding.emptied": "yes", "findings.act": "not there"} | {
    "releasing.release": "not there"
}
"""Every kitchen has a first plan; whether a tray is there is said by the page after; the finding is in the query."""

_AT_TABLETS = frozenset(("signin.people", "signin.pin", "signin.sign_out"))
"""Open to everybody; without an enrolled tablet they lead to the page that signs in."""


def text(app: Flask) -> str:
    """Give the whole page."""
    rules = list(_rules(app))
    used = {*WRITES.values(), *(permission_of(app, rule) for _, rule in rules)}
    permissions = [one for one in Permission if one in used]
    return _HEAD.format(
        acts=_table(("act", "permission", *map(words.role_word, ROLES)), map(_act, permissions)),
        kinds=_table(("kind", "takes"), _kinds()),
        pin=_list(one for one in permissions if one in LEFT_OUT[KnownBy.PIN]),
        again=_list(one for one in permissions if one in LEFT_OUT[KnownBy.PIN] - LEFT_OUT[KnownBy.PIN_AGAIN]),
        token=_list(one for one in permissions if one in LEFT_OUT[KnownBy.TOKEN]),
        tablet=_list(one for one in permissions if one not in LEFT_OUT[KnownBy.TABLET]),
        routes=_table(
            ("Route", "takes", "nobody", *map(words.role_word, ROLES), "tablet", "another kitchen's"),
            ([f"`{method} {rule.rule}`", *_route(app, rule)] for method, rule in rules),
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


def _route(app: Flask, rule: Rule) -> Sequence[str]:
    permission = permission_of(app, rule)
    if permission is None:
        others = "sign in" if rule.endpoint in _AT_TABLETS else "yes"
        return ["", others, *(others for _ in ROLES), "yes", others]
    roles = (_yes(may(role, permission)) for role in ROLES)
    known_by = KnownBy.PIN_AGAIN if getattr(app.view_functions[rule.endpoint], "asks_pin", False) else KnownBy.PIN
    on_tablet = _yes(may(FIRST_ROLE, permission, KnownBy.TABLET if rule.rule.startswith("/api/") else known_by))
    return [f"`{permission}`", "sign in", *roles, on_tablet, _stranger(rule, permission)]


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
