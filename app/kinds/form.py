"""The form of a kind: its class's declarations as the fields of the exchange format.

A kind declares each of its own fields with its type in an entry, its form, and when it must or may be there:

    batch: Annotated[str | None, Name("batch", FILL), Must(to="chilled")] = None

A field without a condition must be there unless it has a default.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, dataclass, fields
from decimal import Decimal
from typing import Annotated, Any, TypeVar, get_args, get_origin, get_type_hints

from .entry import Cases, Entry, Temperature, Weight
from .fields import Choice, Code, FieldType, Measured, Name

OPEN, FILL, TAKE, MOVE, READ, NONE = "open", "fill", "take", "move", "read", ""
"""What an entry does to what it names: opens always; opens or adds; takes out; needs birds in it; needs only to have
been opened; none of these."""


class When:
    """A condition on other fields: `to="chilled"`, `to=("served", "prepared")`, `birds="some"`."""

    __slots__ = ("cases",)

    def __init__(self, **cases: str | tuple[str, ...]) -> None:
        self.cases = {by: (case,) if isinstance(case, str) else case for by, case in cases.items()}


class Must(When):
    """In these cases the field must be there, in others it does not belong."""

    __slots__ = ()


class May(When):
    """In these cases the field may be there, in others it does not belong."""

    __slots__ = ()


class As(When):
    """In these cases the field has another form."""

    __slots__ = ("type",)

    def __init__(self, type: FieldType, **cases: str | tuple[str, ...]) -> None:
        super().__init__(**cases)
        self.type = type


class SetByServer:
    """The server sets this field; a client may not send it."""

    __slots__ = ()


@dataclass(frozen=True, slots=True)
class Called:
    """The field's name in the exchange format, where that cannot be an attribute's."""

    name: str


@dataclass(frozen=True, slots=True)
class Indexed:
    """The index lists the entry under this kind of subject and the field's value."""

    kind: str


DEGREES = Measured(-60, 600, "°F or °C")
TEMPERATURE_RANGES: Mapping[str, tuple[int, int]] = {"F": (-60, 600), "C": (-50, 315)}
"""What a display may show, by unit."""

UNIT_OF: Mapping[str, tuple[str, ...]] = {
    "unit": ("temperature", "reference_temperature"),
    "weight_unit": ("mean_weight",),
}
"""A unit is there exactly when a value of its is."""


@dataclass(frozen=True, slots=True)
class Shown:
    """A measured value and its unit, two fields in the exchange format and one in an entry."""

    field: str
    unit: str
    type: FieldType
    units: tuple[str, ...]
    of: Callable[[Decimal, str], Any]


DISPLAYED = Shown("temperature", "unit", DEGREES, ("F", "C"), Temperature)
REFERENCE = Shown("reference_temperature", "unit", DEGREES, ("F", "C"), Temperature)
WEIGHED = Shown("mean_weight", "weight_unit", Measured(0, 100, "lb or kg", over=True), ("lb", "kg"), Weight)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the exchange format: its name, its form and whether it must be there."""

    name: str
    type: FieldType
    required: bool = True


Fields = tuple[Field, ...]


@dataclass(frozen=True, slots=True)
class Variants:
    """Fields that depend on the value of the field `by`: each case has its own; `case_of` tells the case of a value."""

    by: str
    cases: Mapping[str, Fields]
    case_of: Callable[[Any], str] = str


@dataclass(frozen=True, slots=True)
class Declared:
    """One declaration of a kind: the attribute of the entry, its form, its conditions, where the index lists it."""

    attribute: str
    type: FieldType | Shown
    required: bool
    conditions: tuple[When, ...]
    index: str | None
    by_server: bool
    default: Any = None
    """What an entry has where the field is not there."""
    called: str | None = None
    """The field's name, where it is not the attribute's."""

    @property
    def name(self) -> str:
        """The field's name in the exchange format (of what is no measured value with its unit)."""
        return self.called or self.attribute

    def wire(self) -> Iterator[tuple[str, FieldType]]:
        """Give the fields of the exchange format that it stands for."""
        if isinstance(self.type, Shown):
            yield self.type.field, self.type.type
            yield self.type.unit, Choice(self.type.units)
        else:
            yield self.name, self.type

    def is_needed(self, field: str) -> bool:
        """Whether a field of it must be there where the declaration holds; a unit follows its value."""
        return self.required and not (isinstance(self.type, Shown) and field == self.type.unit)


@dataclass(frozen=True, slots=True, eq=False)
class Form:
    """A kind in the exchange format: the fields of every entry of it, and those of its variants."""

    cls: type[Entry]
    declared: tuple[Declared, ...]
    fields: Fields
    variants: tuple[Variants, ...]

    @property
    def name(self) -> str:
        """The kind's name."""
        return self.cls.KIND

    def named(self) -> tuple[tuple[str, Name], ...]:
        """Give the attributes that name loads, trays, batches and reheats."""
        return tuple((one.attribute, one.type) for one in self.declared if isinstance(one.type, Name))

    def codes(self) -> tuple[tuple[str, Code], ...]:
        """Give the attributes that name equipment."""
        return tuple((one.attribute, one.type) for one in self.declared if isinstance(one.type, Code))

    def all_fields(self) -> Mapping[str, Field]:
        """Give every field that an entry of this kind may have in one variant or another, by name."""
        found = list(self.fields)
        for variants in self.variants:
            found += [field for case in variants.cases.values() for field in case]
        return {field.name: field for field in reversed(found)}


T = TypeVar("T")


def once_a_kind(function: Callable[[type[Entry]], T]) -> Callable[[type[Entry]], T]:
    """Keep what a function of a kind gives, for it is asked of every entry of a day."""

    class Known(dict[type[Entry], T]):
        def __missing__(self, kind: type[Entry]) -> T:
            found = self[kind] = function(kind)
            return found

    return Known().__getitem__


@once_a_kind
def form_of(cls: type[Entry]) -> Form:
    """Compile the declarations of a kind."""
    declared = tuple(_declarations(cls))
    types = {name: type for one in declared for name, type in one.wire()}
    always = [field for one in declared if not one.conditions and not one.by_server for field in _fields(one)]
    chosen_by = dict.fromkeys(by for one in declared for when in one.conditions for by in when.cases)
    return Form(cls, declared, tuple(always), tuple(_variants(cls, by, declared, types) for by in chosen_by))


def _declarations(cls: type[Entry]) -> Iterator[Declared]:
    common = {field.name for field in fields(Entry)}
    hints = get_type_hints(cls, include_extras=True)
    for field in fields(cls):
        if field.name in common:
            continue
        if get_origin(hints[field.name]) is not Annotated:
            raise TypeError(f"{cls.__name__}.{field.name} declares no form")
        _type, form, *more = get_args(hints[field.name])
        has_default = field.default is not MISSING
        index = next((extra.kind for extra in more if isinstance(extra, Indexed)), None)
        conditions = tuple(extra for extra in more if isinstance(extra, When))
        by_server = any(isinstance(extra, SetByServer) for extra in more)
        default = field.default if has_default else None
        called = next((extra.name for extra in more if isinstance(extra, Called)), None)
        yield Declared(field.name, form, not has_default, conditions, index, by_server, default, called)


def _fields(one: Declared) -> Iterator[Field]:
    for name, type in one.wire():
        yield Field(name, type, one.is_needed(name))


def _variants(cls: type[Entry], by: str, declared: tuple[Declared, ...], types: Mapping[str, FieldType]) -> Variants:
    cases: Cases | None = cls.CASES.get(by)
    if cases is None:
        choice = types[by]
        if not isinstance(choice, Choice):
            raise TypeError(f"{cls.__name__}: {by} has no cases")
        cases = Cases(choice.values)
    return Variants(by, {case: tuple(_in_case(declared, by, case)) for case in cases.values}, cases.case_of)


def _in_case(declared: tuple[Declared, ...], by: str, case: str) -> Iterator[Field]:
    for one in declared:
        here = [when for when in one.conditions if by in when.cases]
        if not here:
            continue
        fitting = next((when for when in here if case in when.cases[by]), None)
        if isinstance(fitting, As):
            yield Field(one.attribute, fitting.type, one.required)
        elif fitting is not None:
            yield from _conditional(one, must=isinstance(fitting, Must))
        elif all(isinstance(when, As) for when in here):
            yield from _fields(one)


def _conditional(one: Declared, *, must: bool) -> Iterator[Field]:
    value = one.type.field if isinstance(one.type, Shown) else one.attribute
    for name, type in one.wire():
        yield Field(name, type, must and name == value)
