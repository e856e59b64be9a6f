"""The first stage: has a draft the fields of its kind, each in its form? All that is wrong is told at once."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any, NamedTuple

from app.kinds import REGISTER_KINDS, every_entry
from app.kinds.form import TEMPERATURE_RANGES, UNIT_OF, Field, Variants
from app.kinds.values import BadValue, read_number


@dataclass(frozen=True, slots=True)
class FieldError:
    """What is wrong at a field: a code, and values that help to say what to do. "" is the entry as a whole."""

    field: str
    code: str
    values: Mapping[str, Any]


class Shaped(NamedTuple):
    """A draft after this stage: the client's fields as they are hashed, and what was wrong (then nothing is kept)."""

    id: str | None
    fields: dict[str, Any]
    errors: tuple[FieldError, ...]
    needs_altitude: bool = False
    """A boiling point without pressure and altitude: the site's own must be known."""


@dataclass(frozen=True, slots=True)
class _Shape:
    """What one kind, in one mode and in one case of each of its variants, takes and needs."""

    readers: Mapping[str, Callable[[Any], Any]]
    required: tuple[str, ...]
    units: tuple[tuple[str, tuple[str, ...]], ...]


_PLAIN, _AMENDMENT, _WITHDRAWAL = "plain", "amendment", "withdrawal"
_IDENTITY = tuple(field for field in every_entry.OF_EVERY_ENTRY if field.name != "note")


def check(draft: object) -> Shaped:
    """Read a draft, which depends on nothing but what was sent."""
    if type(draft) is not dict:
        return Shaped(None, {}, (FieldError("", "type", {"expected": "object"}),))
    if type(draft.get("kind")) is str and draft["kind"] in REGISTER_KINDS:
        return Shaped(None, {}, (FieldError("kind", "forbidden", {"value": draft["kind"]}),))
    kind = every_entry.FORMS.get(draft["kind"]) if type(draft.get("kind")) is str else None
    if kind is None:
        return _unknown_kind(draft)
    mode = _mode(draft)
    cases: tuple[str | None, ...] = ()
    if kind.variants and mode is not _WITHDRAWAL:
        cases = tuple(_case(variants, draft) for variants in kind.variants)
    shape = _shape(kind.name, mode, cases)
    fields, errors = _read(draft, shape)
    if mode is not _WITHDRAWAL:
        _check_units(fields, shape, errors)
    needs_altitude = "pressure_hpa" in shape.readers and _tells_no_place(fields, errors)
    return Shaped(fields.get("id"), fields, tuple(errors.values()), needs_altitude)


def _unknown_kind(draft: dict[str, Any]) -> Shaped:
    """Tell what can be told of an entry of no known kind: the rest of its fields belong nowhere."""
    fields, errors = _read({name: draft.get(name) for name in ("id", "kind", "observed_at")}, _identity())
    return Shaped(fields.get("id"), fields, tuple(errors.values()))


def _mode(draft: dict[str, Any]) -> str:
    if draft.get("withdrawn") is True:
        return _WITHDRAWAL
    if draft.get("amends") is None and draft.get("amend_reason") is None and draft.get("withdrawn") is None:
        return _PLAIN
    return _AMENDMENT


def _case(variants: Variants, draft: dict[str, Any]) -> str | None:
    """Give the case that the draft is of, None where its value makes that impossible to say."""
    value = draft.get(variants.by)
    if variants.case_of is str and type(value) is not str:
        return None
    case = variants.case_of(value)
    return case if case in variants.cases else None


def _read(draft: dict[str, Any], shape: _Shape) -> tuple[dict[str, Any], dict[str, FieldError]]:
    fields: dict[str, Any] = {}
    errors: dict[str, FieldError] = {}
    readers = shape.readers
    for name, value in draft.items():
        if value is None:
            continue
        read = readers.get(name)
        if read is None:
            errors[name] = FieldError(echo(name), "unknown", {})
            continue
        try:
            taken = read(value)
        except BadValue as bad:
            errors[name] = FieldError(name, bad.code, bad.values)
            continue
        if taken is not None:
            fields[name] = taken
    for name in shape.required:
        if name not in fields and name not in errors:
            errors[name] = FieldError(name, "missing", {})
    return fields, errors


def _check_units(fields: dict[str, Any], shape: _Shape, errors: dict[str, FieldError]) -> None:
    for unit, values in shape.units:
        given = [name for name in values if name in fields]
        if unit not in fields:
            if (given or any(name in shape.required for name in values)) and unit not in errors:
                errors[unit] = FieldError(unit, "missing", {})
        elif not given and not any(name in errors for name in values):
            errors[values[0]] = FieldError(values[0], "missing", {})
        elif unit == "unit":
            for name in given:
                _check_range(name, fields, errors)


def _check_range(name: str, fields: dict[str, Any], errors: dict[str, FieldError]) -> None:
    low, high = TEMPERATURE_RANGES[fields["unit"]]
    if not 100 * low <= read_number(fields[name])[1] <= 100 * high:
        errors[name] = FieldError(name, "range", {"low": low, "high": high})


def _tells_no_place(fields: dict[str, Any], errors: dict[str, FieldError]) -> bool:
    """Whether it is a boiling point without the pressure or altitude that water boiled at."""
    has_place = any(name in fields or name in errors for name in ("pressure_hpa", "altitude_m"))
    return fields.get("method") == "boiling_point" and not has_place


@cache
def _identity() -> _Shape:
    return _compiled(_IDENTITY)


@cache
def _shape(kind: str, mode: str, cases: tuple[str | None, ...]) -> _Shape:
    """Put together the fields of a kind for one mode and one case of each variant."""
    if mode is _WITHDRAWAL:
        return _compiled((*_IDENTITY, *every_entry.OF_TABLETS, *every_entry.OF_WITHDRAWALS))
    form = every_entry.FORMS[kind]
    fields = [*every_entry.OF_EVERY_ENTRY, *every_entry.OF_TABLETS, *form.fields]
    for variants, case in zip(form.variants, cases, strict=True):
        fields += _fields_of(variants, case)
    if mode is _AMENDMENT:
        # `withdrawn` is known here, so that false is told as the wrong value that it is.
        fields += [*every_entry.OF_AMENDMENTS, Field("withdrawn", every_entry.OF_WITHDRAWALS[-1].type, required=False)]
    return _compiled(tuple(fields))


def _fields_of(variants: Variants, case: str | None) -> list[Field]:
    """Give the fields of a case; of all cases, none of them needed, where the case cannot be said."""
    if case is not None:
        return list(variants.cases[case])
    return [Field(field.name, field.type, required=False) for case in variants.cases.values() for field in case]


def _compiled(fields: tuple[Field, ...]) -> _Shape:
    readers: dict[str, Callable[[Any], Any]] = {}
    for field in fields:
        readers.setdefault(field.name, field.type.read)
    units = [
        (unit, tuple(name for name in values if name in readers)) for unit, values in UNIT_OF.items() if unit in readers
    ]
    required = tuple(dict.fromkeys(field.name for field in fields if field.required))
    return _Shape(readers, required, tuple(units))


def echo(name: object) -> str:
    """Give a name that a client made up, fit to be shown again."""
    return str(name)[:100].encode("utf-8", "replace").decode("utf-8")
