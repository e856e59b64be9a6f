"""Entries from the objects that were hashed, and back to the fields of the exchange format."""

from collections.abc import Callable, Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from . import ALL_KINDS
from .entry import Entry, Withdrawal
from .form import Declared, Shown, form_of, once_a_kind

_Reader = Callable[[Mapping[str, Any], dict[str, Any]], None]
"""Reads one attribute of an entry from a hashed object, if it is there."""


def entry_of(body: Mapping[str, Any], *, root_seq: int, root: str) -> Entry:
    """Give the entry of a hashed object; `root` is the id of its first version. Raises KeyError for an unknown kind."""
    values: dict[str, Any] = {
        "seq": body["seq"],
        "id": body["id"],
        "observed_at": datetime.fromisoformat(body["observed_at"]),
        "recorded_at": datetime.fromisoformat(body["recorded_at"]),
        "person": body.get("person", ""),
        "via": body["via"],
        "late": body["late"],
        "root_seq": root_seq,
        "root": root,
    }
    for name in _OPTIONAL.keys() & body.keys():
        values[name] = _OPTIONAL[name](body[name])
    cls = ALL_KINDS[body["kind"]]
    if "withdrawn" in body:
        return Withdrawal(of=cls, **values)
    for read in _readers(cls):
        read(body, values)
    return cls(**values)


def _as_it_is(value: Any) -> Any:
    return value


_OPTIONAL: Mapping[str, Callable[[Any], Any]] = {
    "amends": _as_it_is,
    "amend_reason": _as_it_is,
    "note": _as_it_is,
    "entered_at": datetime.fromisoformat,
    "identified": _as_it_is,
    "clock_offset_s": Decimal,
}
"""What an entry of any kind may have, and how it is read."""


@once_a_kind
def _readers(cls: type[Entry]) -> tuple[_Reader, ...]:
    return tuple(_reader(one) for one in form_of(cls).declared)


def _reader(one: Declared) -> _Reader:
    if isinstance(one.type, Shown):
        return _reader_of_shown(one.attribute, one.type)
    name, attribute, typed = one.name, one.attribute, one.type.typed

    def read(body: Mapping[str, Any], values: dict[str, Any]) -> None:
        if name in body:
            values[attribute] = typed(body[name])

    return read


def _reader_of_shown(attribute: str, shown: Shown) -> _Reader:
    field, unit, make = shown.field, shown.unit, shown.of

    def read(body: Mapping[str, Any], values: dict[str, Any]) -> None:
        if field in body:
            values[attribute] = make(Decimal(body[field]), body[unit])

    return read


def fields_of(entry: Entry) -> dict[str, Any]:
    """Give an entry's own fields, and the optional common ones, under their names in the exchange format.

    Values are those of the entry: Decimal, datetime in UTC, date, int. What it does not say is left out.
    """
    found = {name: value for name in _OPTIONAL if (value := getattr(entry, name)) is not None and name != "amends"}
    for one in () if isinstance(entry, Withdrawal) else form_of(type(entry)).declared:
        value = getattr(entry, one.attribute)
        if isinstance(one.type, Shown):
            if value is not None:
                found |= {one.type.field: value.value, one.type.unit: value.unit}
        elif value is not None and (one.required or value != one.default):
            found[one.name] = value
    return found
