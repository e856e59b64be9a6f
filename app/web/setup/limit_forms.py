"""The form of one limit: a number and its unit, things to tick, a line of text; and what was typed as a setting."""

import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import time
from decimal import Decimal, InvalidOperation
from typing import Any

from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, SelectMultipleField, StringField, TextAreaField

from app import register, words
from app.rules.lethality import conditions, table_pair, tables
from app.rules.plans import comparing
from app.rules.plans.limits import GROUPS, Limits, TablePair, TemperatureLimit
from app.rules.plans.settings import WAYS_OUT

from ..parts.forms import ticks
from ..parts.page_form import PageForm
from .own_checks import own_items

Settings = Mapping[str, str]
"""Setting → as it is typed for `plan --set`."""


class LimitForm(PageForm):
    """What every limit's form has: the variance that allows what is looser, and who gave it."""

    variance = StringField(_l("Name and number of the variance"))
    variance_by = StringField(_l("The authority that gave it"))


@dataclass(frozen=True, slots=True)
class Editor:
    """How a setting is shown in its form, and read from it: None where it cannot be, with the error at its field."""

    form: type[LimitForm]
    shown: Callable[[str, Limits], Mapping[str, object]]
    read: Callable[[Any, str, Limits, Limits], Settings | None]
    """Takes what the next version holds, and what its code itself says."""


def editor_of(name: str, limits: Limits) -> Editor:
    """Give the editor of a setting."""
    value = getattr(limits, name)
    if name in ("cook_table", "cook_humidity"):
        return Editor(TableForm, _shown_table, _read_table)
    if name == "cook_target" or isinstance(value, TemperatureLimit):
        return Editor(TargetForm if name == "cook_target" else DegreesForm, _shown_degrees, _read_degrees)
    if name.endswith("_checks"):
        return Editor(_checks_form(), _shown_checks, _read_checks)
    if isinstance(value, tuple | frozenset):
        return Editor(_choices_form(name), _shown_choices, _read_choices)
    if name.endswith(("_min", "_s")):
        return Editor(MinutesForm if name.endswith("_min") else SecondsForm, _shown_length, _read_length)
    return Editor(TimeForm if isinstance(value, time) else LineForm, _shown_line, _read_line)


# ---- a temperature --------------------------------------------------------------------------------------------------


class NumberForm(LimitForm):
    """A number and its unit."""

    number = StringField(_l("How much"))
    unit: RadioField


class DegreesForm(NumberForm):
    """A temperature as a number and its scale."""

    number = StringField(_l("Temperature"))
    unit = RadioField(_l("Scale"), choices={"F": "°F", "C": "°C"}, validate_choice=False)


class TargetForm(DegreesForm):
    """The same, where it may be left empty."""


def _shown_degrees(name: str, limits: Limits) -> Mapping[str, object]:
    value = getattr(limits, name)
    return {"number": "" if value is None else words.number(value.F), "unit": "F"}


def _read_degrees(form: DegreesForm, name: str, limits: Limits, code: Limits) -> Settings | None:
    typed, unit = (form.number.data or "").strip(), form.unit.data or ""
    if not typed and isinstance(form, TargetForm):
        return {name: ""}
    value = _number(form, typed)
    if unit not in ("F", "C"):
        form.refuse("unit", _("Say whether this is in °F or °C."))
        return None
    if value is None:
        return None
    beside = getattr(limits, name) or limits.cook_core
    if comparing.is_other_unit(value, unit, beside=beside):
        values = {"typed": words.degrees(value, unit), "limit": words.limit(beside)}
        form.refuse("unit", _("%(typed)s is far from %(limit)s. Is the scale right?", **values))
        return None
    printed = [limit for limit in (beside, getattr(code, name), code.cook_core) if limit is not None]
    return {name: register.setting_text(comparing.limit_of(name, value, unit, beside=printed))}


def _number(form: NumberForm, typed: str) -> Decimal | None:
    try:
        value = Decimal(typed.replace(",", ".").replace("\N{MINUS SIGN}", "-"))
    except InvalidOperation:
        value = Decimal("NaN")
    if value.is_finite() and abs(value) < 10_000 and round(value, 2) == value:
        return value
    form.refuse("number", _("Type a number, at most two places after the point."))
    return None


# ---- a length of time -----------------------------------------------------------------------------------------------


class MinutesForm(NumberForm):
    """A length of time as a number of minutes or hours."""

    number = StringField(_l("How long"))
    unit = RadioField(_l("Unit"), choices=lambda: {"min": _("minutes"), "h": _("hours")}, validate_choice=False)


class SecondsForm(NumberForm):
    """A length of time as a number of seconds or minutes."""

    number = StringField(_l("How long"))
    unit = RadioField(_l("Unit"), choices=lambda: {"s": _("seconds"), "min": _("minutes")}, validate_choice=False)


_TIMES = {"min": {"min": 1, "h": 60}, "s": {"s": 1, "min": 60}}


def _shown_length(name: str, limits: Limits) -> Mapping[str, object]:
    small = name.rpartition("_")[2]
    return {"number": str(getattr(limits, name)), "unit": small}


def _read_length(form: MinutesForm | SecondsForm, name: str, limits: Limits, code: Limits) -> Settings | None:
    value = _number(form, (form.number.data or "").strip())
    times = _TIMES[name.rpartition("_")[2]].get(form.unit.data or "")
    if times is None:
        form.refuse("unit", _("Say in which unit this is."))
    if times is None or value is None:
        return None
    whole = value * times
    if whole != whole.to_integral_value():
        form.refuse("number", _("Type a length of whole minutes, or of whole seconds."))
        return None
    return {name: str(int(whole))}


# ---- a line, a time of day, a count ---------------------------------------------------------------------------------


class LineForm(LimitForm):
    """A count, a tolerance in degrees, or a name."""

    line = StringField(_l("Value"))


class TimeForm(LimitForm):
    """A time of day."""

    line = StringField(_l("Time"), render_kw={"type": "time"})


def _shown_line(name: str, limits: Limits) -> Mapping[str, object]:
    return {"line": register.setting_text(getattr(limits, name))}


def _read_line(form: LineForm | TimeForm, name: str, limits: Limits, code: Limits) -> Settings | None:
    return {name: (form.line.data or "").strip()}


# ---- things to tick -------------------------------------------------------------------------------------------------


_WORDS: Mapping[str, tuple[tuple[str, ...], Callable[[str], str]]] = {
    "places_per_bird": (("breast", "thigh"), words.place_word),
    "time_control_ways": (WAYS_OUT, words.to_word),
    "controls": (GROUPS, words.group_word),
}


def _choices_form(name: str) -> type[LimitForm]:
    codes, say = _WORDS[name]
    fields = {"ticked": ticks(words.setting_word(name), {code: words.sentence_start(say(code)) for code in codes})}
    return type("ChoicesForm", (LimitForm,), fields)


def _shown_choices(name: str, limits: Limits) -> Mapping[str, object]:
    return {"ticked": list(getattr(limits, name))}


def _read_choices(form: Any, name: str, limits: Limits, code: Limits) -> Settings | None:
    ticked = form.ticked.data or []
    return {name: ",".join(code for code in _WORDS[name][0] if code in ticked)}


# ---- checks, with words of the kitchen's own ------------------------------------------------------------------------


class ChecksForm(LimitForm):
    """The checks of a list: the usual ones to tick, and the kitchen's own, one a line."""

    ticked: SelectMultipleField
    own = TextAreaField(_l("Checks of this kitchen, one a line"))

    def own_lines(self) -> list[str]:
        """Give what the kitchen checks besides, in its own words."""
        lines = (unicodedata.normalize("NFC", " ".join(line.split())) for line in (self.own.data or "").splitlines())
        return list(dict.fromkeys(line for line in lines if line))


def _checks_form() -> type[LimitForm]:
    usual = {item: words.check_words(item).title for item in words.usual_checks()}
    return type("UsualChecksForm", (ChecksForm,), {"ticked": ticks(_("Usual checks"), usual)})


_MOST_LETTERS = 100


def _shown_checks(name: str, limits: Limits) -> Mapping[str, object]:
    items, usual = getattr(limits, name), words.usual_checks()
    own = [words.check_words(item).title for item in items if item not in usual]
    return {"ticked": [item for item in items if item in usual], "own": "\n".join(own)}


def _read_checks(form: ChecksForm, name: str, limits: Limits, code: Limits) -> Settings | None:
    if any(len(line) > _MOST_LETTERS or not line.isprintable() for line in form.own_lines()):
        form.refuse("own", _("A check has at most 100 letters. Write it shorter."))
        return None
    named = own_items(form.own_lines(), getattr(limits, name))
    return {name: ",".join([*(item for item in words.usual_checks() if item in (form.ticked.data or [])), *named])}


# ---- a published table in place of the limit ------------------------------------------------------------------------


class TableForm(LimitForm):
    """A row of a published table of times, and how its humidity is met."""

    species = RadioField(
        _l("What is cooked by a table of times"),
        choices=lambda: [
            ("", _("nothing: the limit applies")),
            *((str(one), words.species_word(one)) for one in tables.Species),
        ],
        validate_choice=False,
    )
    row = RadioField(
        _l("Row of the table"),
        choices=lambda: {f"{row:f}": words.degrees(row, "F") for row in table_pair.printed_rows()},
        validate_choice=False,
    )
    fat = StringField(_l("Fat as a percentage; leave empty where it is not known"))
    humidity = RadioField(
        _l("How its humidity is met"),
        choices=lambda: [(str(way), words.humidity_word(way)) for way in conditions.HumidityWay],
        validate_choice=False,
    )


def _shown_table(_name: str, limits: Limits) -> Mapping[str, object]:
    pair = limits.cook_table
    if not isinstance(pair, TablePair):
        return {"species": "", "humidity": limits.cook_humidity}
    fat = "" if pair.fat_percent is None else words.number(pair.fat_percent)
    return {"species": pair.species, "row": f"{pair.row_f:f}", "fat": fat, "humidity": limits.cook_humidity}


def _read_table(form: TableForm, _name: str, limits: Limits, code: Limits) -> Settings | None:
    if not form.species.data:
        return {"cook_table": "", "cook_humidity": ""}
    if not form.row.data:
        form.refuse("row", _("Choose a row of the table."))
        return None
    if not form.humidity.data:
        form.refuse("humidity", _("Say how the humidity that the table asks for is met."))
        return None
    fat = (form.fat.data or "").strip().rstrip("%").strip()
    pair = f"{form.species.data} {form.row.data}F" + (f" {fat}%" if fat else "")
    return {"cook_table": pair, "cook_humidity": form.humidity.data}
