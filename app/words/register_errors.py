"""What the register refuses, in words: people and their passwords, equipment, plans and what hangs on them."""

from collections.abc import Callable, Mapping
from typing import Any

from . import measures
from .fields import field_word
from .marking import gettext as _
from .settings import value_words
from .subjects import sentence_start

_Values = Mapping[str, Any]


def _taken(field: str, values: _Values) -> str:
    return _("%(field)s: this is taken already. Choose another.", field=sentence_start(field_word(field)))


def _retired(field: str, values: _Values) -> str:
    return _("%(field)s: this was retired and is no longer in use.", field=sentence_start(field_word(field)))


def _looser(field: str, values: _Values) -> str:
    return _(
        "%(field)s: %(value)s is looser than %(source)s allows. Keep to it, or name the variance that allows this.",
        field=sentence_start(field_word(field)),
        value=value_words(field, values.get("value")),
        source=values.get("source", ""),
    )


def _under_table(field: str, values: _Values) -> str:
    return _(
        "%(field)s: %(value)s is under the pair of the table that this plan rests on (%(source)s).",
        field=sentence_start(field_word(field)),
        value=values.get("value", ""),
        source=values.get("source", ""),
    )


def _under_limit(field: str, values: _Values) -> str:
    return _(
        "%(field)s: %(value)s is under the limit, %(limit)s. A target that differs from the limit lies above it.",
        field=sentence_start(field_word(field)),
        value=values.get("value", ""),
        limit=measures.limit(values["limit"]) if "limit" in values else "",
    )


def _weak(field: str, values: _Values) -> str:
    if field == "pin":
        return _("This PIN is among the first that people try. Choose another, not like 1234 or 1111.")
    return _("This is among the first that people try. Choose another; three or four words together are good.")


def _wrong(field: str, values: _Values) -> str:
    if field == "pin":
        return _("The name or the PIN is wrong. Try again.")
    return _("The name or the password is wrong. Try again.")


def _not_yours(field: str, values: _Values) -> str:
    return _("This is not your password. Try again.")


def _blocked(field: str, values: _Values) -> str:
    seconds = values.get("seconds")
    if seconds is None:
        return _("Too many tries. Wait a little, then try again.")
    return _("Too many tries. Try again in %(wait)s.", wait=measures.duration(int(seconds)))


def _last(field: str, values: _Values) -> str:
    return _("This is the only person in charge left. Add another first.")


def _no_password(field: str, values: _Values) -> str:
    return _("This role signs in with a password, and there is none yet. Set a password first.")


def _not_behind(field: str, values: _Values) -> str:
    return _("The clock of this server is not behind the records. There is nothing to accept.")


def _moved(field: str, values: _Values) -> str:
    if values.get("number") is None:
        return _("Somebody else changed this meanwhile. Look at it again.")
    return _(
        "%(name)s adopted version %(number)s meanwhile. Its values stand below, and what you typed. Look, then adopt.",
        name=values.get("name", ""),
        number=values["number"],
    )


def _large(field: str, values: _Values) -> str:
    return _("This file is over 10 MB. Choose a smaller one, or split it.")


def _relied_on(field: str, values: _Values) -> str:
    named = {"trays": ", ".join(map(str, values.get("trays", ())))}
    return _("Held by time alone right now: %(trays)s. Empty them first, or keep the procedure.", **named)


def _kind(field: str, values: _Values) -> str:
    return _("This is no PDF and no picture (PNG or JPEG) that can be opened. Choose another file.")


REGISTER_ERRORS: Mapping[str, Callable[[str, _Values], str]] = {
    "taken": _taken,
    "retired": _retired,
    "looser": _looser,
    "under_table": _under_table,
    "under_limit": _under_limit,
    "weak": _weak,
    "wrong": _wrong,
    "not_yours": _not_yours,
    "blocked": _blocked,
    "last": _last,
    "not_behind": _not_behind,
    "moved": _moved,
    "no_password": _no_password,
    "large": _large,
    "relied_on": _relied_on,
    "kind": _kind,
}
"""By code: the message for a field and values."""
