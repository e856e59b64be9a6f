"""JSON Schemas of what a client posts, made from the kinds' own declarations: there is no second list of fields."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from itertools import product
from typing import Any

from app.kinds import compound, every_entry, fields
from app.kinds.fields import FieldType
from app.kinds.form import UNIT_OF, Field, Form, Variants

Schema = dict[str, Any]

NAME_PATTERN = "^[A-Za-z0-9][A-Za-z0-9._-]{0,31}$"
NUMBER_PATTERN = r"^-?[0-9]+(\.[0-9]{1,2})?$"


def draft_schemas() -> dict[str, Schema]:
    """Give a schema for each kind, by name; one for withdrawals; and `draft`, which is any of them."""
    schemas = {name: _kind_schema(kind) for name, kind in every_entry.FORMS.items()}
    schemas["withdrawal"] = _object(
        (*every_entry.OF_EVERY_ENTRY, *every_entry.OF_TABLETS, *every_entry.OF_WITHDRAWALS), {"note"}
    )
    schemas["draft"] = {"anyOf": [{"$ref": f"#/components/schemas/{name}"} for name in schemas]}
    return schemas


def _kind_schema(kind: Form) -> Schema:
    common = (*every_entry.OF_EVERY_ENTRY, *every_entry.OF_TABLETS)
    forms = [_form_schema(kind, common, chosen) for chosen in product(*map(_cases, kind.variants))]
    return forms[0] if len(forms) == 1 else {"anyOf": forms}


def _cases(variants: Variants) -> Iterator[tuple[Variants, str]]:
    for case in variants.cases:
        yield variants, case


def _form_schema(kind: Form, common: tuple[Field, ...], chosen: Iterable[tuple[Variants, str]]) -> Schema:
    own = list(kind.fields)
    conditions: dict[str, Schema | None] = {"kind": {"const": kind.name}}
    for variants, case in chosen:
        own += variants.cases[case]
        conditions[variants.by] = _CONDITIONS.get(case, {"const": case})
    schema = _object((*common, *own), set())
    for name, condition in conditions.items():
        if condition is None:
            del schema["properties"][name]
        else:
            schema["properties"][name] |= condition
    if conditions.get("no_display") == _CONDITIONS["with"]:
        schema["required"].append("no_display")
    if kind.cls.AMENDABLE:
        schema["properties"] |= {field.name: field_schema(field) for field in every_entry.OF_AMENDMENTS}
        schema["dependentRequired"] |= {"amends": ["amend_reason"], "amend_reason": ["amends"]}
    return schema


_CONDITIONS: Mapping[str, Schema | None] = {
    "none": {"const": 0},
    "some": {"minimum": 1},
    "with": {"const": True},
    "without": None,
}
"""What the field that chooses a variant must be, where the case is not simply its value; None: it must be absent."""


def _object(listed: Iterable[Field], left_out: set[str]) -> Schema:
    present = {field.name: field for field in listed if field.name not in left_out}
    units = {value: [unit] for unit, values in UNIT_OF.items() for value in values if value in present}
    return {
        "type": "object",
        "properties": {name: field_schema(field) for name, field in present.items()},
        "required": [name for name, field in present.items() if field.required],
        "dependentRequired": units,
        "additionalProperties": False,
    }


def field_schema(field: Field) -> Schema:
    """Give the schema of one field's values."""
    return _SCHEMAS[type(field.type)](field.type)


def _measured(kind: Any) -> Schema:
    low = {"exclusiveMinimum" if kind.over else "minimum": kind.low}
    step = {25: {"multipleOf": 0.25}}.get(
        kind.step, {}
    )  # hundredths are left to the text: no float is a multiple of one
    return {
        "oneOf": [
            {"type": "number", **low, "maximum": kind.high, **step},
            {"type": "string", "pattern": NUMBER_PATTERN},
        ],
        "description": f"In {kind.unit}, from {kind.low} to {kind.high}, at most two decimals.",
    }


def _counted(kind: Any) -> Schema:
    if kind.step > 1:
        return {"type": "integer", "enum": list(kind.taken)}
    return {"type": "integer", "minimum": kind.low, "maximum": kind.high}


_TEXT: Schema = {"type": "string", "minLength": 1, "maxLength": fields.LONGEST_TEXT}
_SCHEMAS: Mapping[type[FieldType], Callable[[Any], Schema]] = {
    fields.Who: lambda kind: _TEXT | {"description": "A sign-in name, or the name of somebody without one."},
    fields.Text: lambda kind: _TEXT | {"description": "Several lines." if kind.lines else "One line."},
    fields.Code: lambda kind: _TEXT | {"description": f"A listed {' or '.join(kind.kinds) or 'piece of equipment'}."},
    fields.Name: lambda _kind: {"type": "string", "pattern": NAME_PATTERN},
    fields.Choice: lambda kind: {"type": "string", "enum": list(kind.values)},
    fields.Flag: lambda kind: {"type": "boolean"} | ({"const": True} if kind.only_true else {}),
    fields.Id: lambda _kind: {"type": "string", "format": "uuid"},
    fields.Instant: lambda _kind: {"type": "string", "format": "date-time"},
    fields.Day: lambda _kind: {"type": "string", "format": "date"},
    fields.Count: _counted,
    fields.Measured: _measured,
    compound.Numbers: lambda _kind: {"type": "array", "items": {"type": "integer", "minimum": 1}, "uniqueItems": True},
    compound.Keys: lambda _kind: {"type": "array", "items": {"type": "string"}, "minItems": 1},
    compound.Items: lambda _kind: {"type": "object", "additionalProperties": {"type": ["boolean", "null"]}},
}
