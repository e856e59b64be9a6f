"""A form for any kind of entry, made from its class: for mending, and for what has no page of its own."""

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, Field, RadioField, StringField, TextAreaField

from app import words
from app.kinds import Entry
from app.kinds.compound import Items, Keys, Numbers
from app.kinds.fields import Choice, Code, Count, Day, FieldType, Flag, Instant, Measured, Name, Text, Who
from app.kinds.form import OPEN, UNIT_OF, Fields, Form
from app.kinds.form import Field as FormField
from app.kinds.permissions import Permission, may
from app.kinds.reading import fields_of
from app.rules.facts import Site
from app.rules.plans.plan import Plan

from ..kitchen.typed_names import whole_name
from ..parts.forms import Draft, EntryForm, count, instant_text, local_instant, local_text, quarters, ticks

_ANSWERS: Mapping[str, bool | None] = {"yes": True, "no": False, "none": None}
_ITEM = "item-"


class ReasonForm(EntryForm):
    """Why an entry is mended: typed, else the phrase that is tapped; none is chosen beforehand."""

    amend_reason = TextAreaField()
    reason_phrase = RadioField(validate_choice=False)

    @property
    def why(self) -> str | None:
        """The reason; None where none was given."""
        return (self.amend_reason.data or "").strip() or self.reason_phrase.data or None


class KindForm(ReasonForm):
    """The fields of one kind; `for_kind` makes the form of a kind in a kitchen."""

    amend_reason = TextAreaField(_l("Why it is corrected"))
    reason_phrase = RadioField(validate_choice=False, choices=words.correction_phrases)

    def entry(self, kind: Form, site: Site, **more: object) -> Draft:
        """Give the entry as it was typed; `more` are the fields of an amendment."""
        typed = {name: self._value(field, site) for name, field in kind.all_fields().items()}
        for unit, of in UNIT_OF.items():
            if unit in typed and not any(typed.get(name) for name in of):
                typed[unit] = None
        return self.draft(kind.name, 0, **typed, **more)

    def fields_of(self, kind: Form) -> list[tuple[Field, str]]:
        """Give the fields in the order of the kind, each with the variants that it is for."""
        fields = kind.all_fields()
        names = [name for name in reversed(list(fields)) if not isinstance(fields[name].type, Items)]
        return [(self._fields[name], _variants_of(kind, name)) for name in names]

    def others_of(self, kind: Form) -> list[tuple[Field, str]]:
        """Give the fields besides the reading and its unit, which have the pad."""
        return [(field, hint) for field, hint in self.fields_of(kind) if field.name not in ("temperature", "unit")]

    @property
    def has_reading(self) -> bool:
        """Whether it is about a temperature: birds that were moved or taken out may have none."""
        reading = self._fields.get("temperature")
        return reading is not None and bool(reading.data or "birds" not in self._fields)

    @property
    def has_numbers(self) -> bool:
        """Whether there is anything that is typed on a pad."""
        return any((field.render_kw or {}).get("inputmode") for field in self)

    @property
    def items(self) -> list[Field]:
        """Give the fields of a checklist's items."""
        return [field for name, field in self._fields.items() if name.startswith(_ITEM)]

    def _value(self, field: FormField, site: Site) -> object:
        if isinstance(field.type, Items):
            return self._items(field.type)
        data = self._fields[field.name].data
        if isinstance(field.type, Name) and field.type.role != OPEN:
            return whole_name(field.type.of, data)
        read = _READERS.get(type(field.type))
        return read(data, site) if read else data

    def _items(self, type: Items) -> dict[str, bool | None]:
        chosen = self._fields["list"].data if "list" in self._fields else ""
        prefix = f"{_ITEM}{chosen}-"
        answers = {
            name.removeprefix(prefix): field.data for name, field in self._fields.items() if name.startswith(prefix)
        }
        return {item: _ANSWERS[answer] for item, answer in answers.items() if answer in _ANSWERS}


def for_kind(
    kind: Form, site: Site, plan: Plan, *, keys: tuple[str, ...] = (), named: tuple[str, ...] = ()
) -> type[KindForm]:
    """Make the form class of a kind: its people, equipment and check items are those of the kitchen.

    `keys` are findings; `named` is who is offered whether they work here or not: an entry that is mended names them.
    """
    members: dict[str, Any] = {}
    for name, field in reversed([*kind.all_fields().items()]):  # in the order of the page, in which errors stand
        if isinstance(field.type, Items):
            members |= _item_fields(field.type, plan)
        else:
            members[name] = _field_for(field, site, keys, named)
    return type(f"{kind.name}_form", (KindForm,), members)


def presets_of(entry: Entry, kind: Form, site: Site) -> dict[str, object]:
    """Give an entry as its form shows it."""
    presets: dict[str, object] = {}
    fields, types = fields_of(entry), kind.all_fields()
    fields.pop("confirmed", None)  # it was said of the number as it was
    for name, value in fields.items():
        type = types[name].type if name in types else None
        if isinstance(type, Items):
            chosen = fields.get("list", "")
            presets |= {f"{_ITEM}{chosen}-{item}": _answer(answer) for item, answer in value.items()}
        else:
            presets[name] = _shown(type, value, site)
    return presets


def keys_of(entry: Entry, kind: Form) -> tuple[str, ...]:
    """Give the keys of findings that an entry names."""
    named = (getattr(entry, one.attribute) for one in kind.declared if isinstance(one.type, Keys))
    return tuple(key for keys in named for key in keys)


def people_of(entry: Entry, kind: Form) -> tuple[str, ...]:
    """Give the sign-in names, or names, of whom an entry is about."""
    return tuple(getattr(entry, one.attribute) for one in kind.declared if isinstance(one.type, Who))


def _field_for(field: FormField, site: Site, keys: tuple[str, ...], named: tuple[str, ...]) -> Any:
    label = words.sentence_start(words.field_word(field.name))
    match field.type:
        case Choice(values=("F", "C")):
            return _radio(label, {"F": "°F", "C": "°C"})
        case Choice(values=values):
            return _radio(label, {value: words.code_word(field.name, value) for value in values})
        case Code(kinds=of):
            listed = [item for item in site.equipment.values() if (not of or item.kind in of) and not item.retired_at]
            return _radio(label, {item.code: item.code for item in listed})
        case Who():
            known = {who: site.people[who].name if who in site.people else who for who in named}
            return _radio(label, {**_workers(site), **known})
        case Flag(only_true=True):
            return BooleanField(label)
        case Flag():
            return _radio(label, {answer: words.check_answer(answer == "yes") for answer in ("yes", "no")})
        case Keys():
            return ticks(label, {key: key for key in keys})
        case Text(lines=True):
            return TextAreaField(label)
        case Day():
            return StringField(label, render_kw={"type": "date"})
        case Instant():
            return StringField(label, render_kw={"type": "datetime-local"})
        case Count():
            return StringField(label, render_kw={"inputmode": "numeric", "class": "count"})
        case Measured():
            return StringField(label, render_kw={"inputmode": "decimal", "class": "count"})
    return StringField(label)


def _workers(site: Site) -> dict[str, str]:
    """Give who works in the kitchen, by sign-in name: an inspector only reads, and is neither trained nor watched."""
    return {
        person.login: person.name
        for person in site.people.values()
        if person.retired_at is None and may(person.role, Permission.RECORD_KITCHEN_ENTRY)
    }


def _radio(label: str, choices: dict[str, str]) -> Any:
    return RadioField(label, choices=choices, validate_choice=False)


def _item_fields(type: Items, plan: Plan) -> dict[str, Any]:
    answers = {answer: words.check_answer(value) for answer, value in _ANSWERS.items()}
    return {
        f"{_ITEM}{chosen}-{item}": _radio(words.check_words(item).title, answers)
        for chosen, name in type.plan_lists.items()
        for item in plan.items(name)
    }


def _variants_of(kind: Form, name: str) -> str:
    """Give the cases that a field is for, in words; empty where it is for all, or for more than can be said simply."""
    holding = [variants for variants in kind.variants if any(_has(fields, name) for fields in variants.cases.values())]
    if len(holding) != 1 or _has(kind.fields, name) or holding[0].case_of is not str:
        return ""
    cases = [case for case, fields in holding[0].cases.items() if _has(fields, name)]
    if len(cases) == len(holding[0].cases):
        return ""
    return str(_("for: %(cases)s", cases=words.joined([words.code_word(holding[0].by, case) for case in cases])))


def _has(fields: Fields, name: str) -> bool:
    return any(field.name == name for field in fields)


def _answer(value: bool | None) -> str:
    return next(answer for answer, said in _ANSWERS.items() if said is value)


def _shown(type: FieldType | None, value: object, site: Site) -> object:
    if isinstance(value, bool):
        return value if isinstance(type, Flag) and type.only_true else _answer(value)
    if isinstance(value, Decimal):
        return words.number(value)
    if isinstance(value, datetime):
        return local_text(value, site.timezone)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, (list, tuple)):
        return ", ".join(map(str, value)) if isinstance(type, Numbers) else value
    return str(value)


def _read_numbers(text: str | None, _site: Site) -> list[object] | None:
    return [count(part) for part in (text or "").replace(",", " ").split()] or None


def _read_instant(text: str | None, site: Site) -> str | None:
    at = local_instant(text or "", site.timezone)
    return instant_text(at.astimezone(UTC)) if at else text or None


_READERS: Mapping[type, Callable[[Any, Site], object]] = {
    Count: lambda data, _site: count(data),
    Measured: lambda data, _site: quarters(data),
    Numbers: _read_numbers,
    Keys: lambda data, _site: list(data or ()) or None,
    Flag: lambda data, _site: (data or None) if isinstance(data, bool) else _ANSWERS.get(data or ""),
    Instant: _read_instant,
}
