"""What is wrong with a field, in words that say what to do next.

A refusal is a field, a code and values (a ledger FieldError, a register Refused or a PlanRefused). Values that are used
where they are given: `value` (what was typed), `low` and `high`, `expected` (a form, e.g. `04:00`), `allowed` (codes),
`why` (for `order`), `in`/`out` or `left` (birds), `dependents` (ids), `seconds` (until another try), `source`.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any

from app.kinds import REGISTER_KINDS

from . import measures
from .codes import code_word
from .fields import field_word
from .marking import N_, say
from .marking import gettext as _
from .order_errors import order_error_words
from .register_errors import REGISTER_ERRORS
from .subjects import sentence_start

_Values = Mapping[str, Any]

_MISSING = {
    "pressure_hpa": N_("Give the air pressure or the altitude: water boils lower when the kitchen is higher up."),
    "unit": N_("Say whether this was read in °F or °C."),
    "temperature": N_("Type the temperature that the display shows."),
    "amend_reason": N_("Say why the earlier entry is corrected."),
    "observed_at": N_("Say when this was seen."),
    "file": N_("Choose a file. An empty one is not kept."),
    "person": N_("Choose who you are."),
}

_EXPECTED = {
    "number": N_("a number, at most two places after the point"),
    "whole number": N_("a whole number"),
    "digits only": N_("digits only"),
    "one line of text": N_("one line of plain text"),
    "names with commas between": N_("names with commas between"),
    "text": N_("plain text"),
    "true or false": N_("yes or no (true or false)"),
    "UUID": N_("a UUID"),
    "kitchen.lan or 192.168.1.20": N_("kitchen.lan or 192.168.1.20"),
    "object": N_("an object with the entry's fields"),
    "list of whole numbers": N_("a list of whole numbers"),
    "at most eight phrases, one a line": N_("at most eight phrases, one a line"),
    "list of keys": N_("a list of keys of findings"),
    "item: true, false or null": N_("each item with true, false or null"),
    "letters, digits . _ - (at most 32)": N_("letters, digits and . _ - (at most 32)"),
}


def error_words(field: str, code: str, values: _Values | None = None) -> str:
    """Give the message that stands at the field. Never fails: an unknown code still gives a usable sentence."""
    make = _MESSAGES.get(code)
    if make is None:
        return _("%(field)s: this cannot be accepted.", field=sentence_start(field_word(field)))
    return make(field, values or {})


def _missing(field: str, values: _Values) -> str:
    if field in _MISSING:
        return _(_MISSING[field])
    return _("%(field)s: this is needed.", field=sentence_start(field_word(field)))


def _type(field: str, values: _Values) -> str:
    name = sentence_start(field_word(field))
    if values.get("expected"):
        expected = say(_EXPECTED, str(values["expected"]))
        return _("%(field)s: write it like this: %(expected)s.", field=name, expected=expected)
    return _("%(field)s: this is not in a form that can be read.", field=name)


def _range(field: str, values: _Values) -> str:
    name = sentence_start(field_word(field))
    low, high, allowed = values.get("low"), values.get("high"), values.get("allowed")
    if "expected" in values:
        return _type(field, values)
    if allowed:
        choices = ", ".join(code_word(field, str(code)) for code in allowed)
        return _("%(field)s: choose one of: %(allowed)s.", field=name, allowed=choices)
    if field in _COUNTED_IN_CHARACTERS and not (low is None and high is None):
        return _length(name, low, high, of_digits=field == "pin")
    if low is not None and high is not None:
        return _("%(field)s: from %(low)s to %(high)s.", field=name, low=_shown(low), high=_shown(high))
    if high is not None:
        return _("%(field)s: at most %(high)s.", field=name, high=_shown(high))
    if low is not None:
        return _("%(field)s: at least %(low)s.", field=name, low=_shown(low))
    return _("%(field)s: this value is not possible.", field=name)


_COUNTED_IN_CHARACTERS = frozenset(
    [
        "action",
        "address",
        "amend_reason",
        "authority",
        "basis",
        "cause",
        "lot",
        "name",
        "note",
        "password",
        "permit",
        "pin",
        "prevention",
        "product",
        "recipient",
        "remark",
        "supplier",
        "text",
        "told",
        "variance",
    ]
)


def _length(name: str, low: object, high: object, *, of_digits: bool) -> str:
    if of_digits:
        return _("%(field)s: from %(low)s to %(high)s digits.", field=name, low=low, high=high)
    if low is not None and high is not None:
        return _("%(field)s: from %(low)s to %(high)s characters.", field=name, low=low, high=high)
    if low is not None:
        return _("%(field)s: at least %(low)s characters.", field=name, low=low)
    return _("%(field)s: at most %(high)s characters.", field=name, high=high)


def _unknown(field: str, values: _Values) -> str:
    value = values.get("value")
    if field in _NOT_HERE and value is not None:
        return _("There is no %(field)s called %(value)s here.", field=field_word(field), value=value)
    if value is not None:
        return _("%(field)s: %(value)s is not known here.", field=sentence_start(field_word(field)), value=value)
    return _("%(field)s: this does not belong here.", field=sentence_start(field_word(field)))


_NOT_HERE = {"probe", "oven", "hot_unit", "cold_unit", "unit_code", "code", "person", "load", "tray", "batch", "reheat"}


def _differs(field: str, values: _Values) -> str:
    if field == "id":
        return _("Another entry with this id was kept before. Nothing was changed; write this one with a new id.")
    if values.get("expected"):
        return _(
            "The °F and the °C value do not belong together. Write it like this: %(expected)s.",
            expected=values["expected"],
        )
    return _("%(field)s: this does not match what was given before.", field=sentence_start(field_word(field)))


def _future(field: str, values: _Values) -> str:
    return _("This time has not come yet. Check the time; if it is right, check the clock of this device.")


def _forbidden(field: str, values: _Values) -> str:
    if field == "person":
        return _("You can only write in your own name.")
    if field == "entered_at":
        return _("Only a tablet of the kitchen says when an entry was saved on it.")
    if field == "kind" and values.get("value") == "week_sign_off":
        return _("Sign the week on its page: the signer has to be present.")
    if field == "kind" and values.get("value") == "sign_off":
        return _("Sign the day on its page or with the sign command: the signer has to be present.")
    if field == "kind" and values.get("value") in REGISTER_KINDS:
        return _("The program writes this itself, where people, equipment, the plan or the kitchen are changed.")
    if field in ("kind", "login"):
        return _("This is for the person in charge.")
    return _("%(field)s: this is not yours to write.", field=sentence_start(field_word(field)))


def _together(field: str, values: _Values) -> str:
    return _("Not kept: these entries belong together, and another of them was refused.")


def _shown(value: object) -> str:
    return measures.number(value) if isinstance(value, int | Decimal) else str(value)


_MESSAGES: dict[str, Callable[[str, _Values], str]] = {
    "missing": _missing,
    "type": _type,
    "range": _range,
    "unknown": _unknown,
    "differs": _differs,
    "future": _future,
    "order": order_error_words,
    "forbidden": _forbidden,
    "together": _together,
    **REGISTER_ERRORS,
}
