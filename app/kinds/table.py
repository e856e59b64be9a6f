"""The kinds of entries and their fields: the one table from which checks, forms, OpenAPI and documents are made."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from .fields import Choice, Code, Count, Day, FieldType, Flag, Id, Instant, Items, Keys, Measured, Name, Numbers, Text


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a kind: its name, its type and whether it must be there."""

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
class Kind:
    """One kind of entry: the fields of every entry of it, and those of its variants."""

    name: str
    fields: Fields = ()
    variants: tuple[Variants, ...] = ()
    amendable: bool = True


def _need(name: str, type: FieldType) -> Field:
    return Field(name, type)


def _may(name: str, type: FieldType) -> Field:
    return Field(name, type, required=False)


TEMPERATURE_RANGES = MappingProxyType({"F": (-60, 600), "C": (-50, 315)})
"""What a display may show, by unit."""

UNIT_OF = MappingProxyType({"unit": ("temperature", "reference_temperature"), "weight_unit": ("mean_weight",)})
"""A unit is there exactly when a value of its is."""

TEXT, LINES = Text(), Text(lines=True)
_UNIT = Choice(("F", "C"))
_DEGREES = Measured(-60, 600, "°F or °C")
_NAME, _FLAG = Name(), Flag()
_PROBE, _OVEN = Code(kinds=("probe",)), Code(kinds=("oven",))
_HOT_UNIT, _COLD_UNIT = Code(kinds=("hot_unit",)), Code(kinds=("cold_unit",))
_BIRDS, _QUARTERS = Count(1, 500), Measured(0, 500, "birds", over=True, step=25)
_NUMBER, _COUNT = Count(1, 500), Count(0, 500)
_HELD = Measured(0, 86_400, "s")

_READING = (_need("temperature", _DEGREES), _may("unit", _UNIT))
_READING_IF_ANY = (_may("temperature", _DEGREES), _may("unit", _UNIT))

_TRAY_OUT = MappingProxyType(
    {
        **dict.fromkeys(("served", "prepared", "donated"), (_need("birds", _QUARTERS),)),
        "discarded": (
            _need("birds", _QUARTERS),
            _may("reason", Choice(("quality", "end_of_day", "dropped", "time", "temperature", "returned", "other"))),
        ),
        "chilled": (
            _need("birds", _QUARTERS),
            _need("batch", _NAME),
            _may("cold_unit", _COLD_UNIT),
            _may("method", Choice(("cut_up", "shallow_pan", "ice_bath", "rapid_chiller", "other"))),
            *_READING_IF_ANY,
            _may("probe", _PROBE),
        ),
        "reheated": (_need("birds", _QUARTERS), _need("reheat", _NAME)),
        "other_tray": (_need("birds", _QUARTERS), _need("into", _NAME)),
        "returned_to_oven": (_need("birds", _BIRDS), _need("load", _NAME), _need("spit", _NUMBER)),
    }
)

_DISPOSITIONS = (
    *("continue_cooking", "reheat", "chill", "serve_now", "discard", "reject_delivery", "hold_for_evaluation"),
    *("take_probe_out_of_use", "search_for_foreign_body", "none"),
)


def _is_none(value: Any) -> str:
    return "none" if value == 0 else "some"


def _is_given(value: Any) -> str:
    return "without" if value is None else "with" if value is True else ""


_TABLE = (
    Kind(
        "receiving",
        (
            _need("product", TEXT),
            _need("lot", TEXT),
            _need("supplier", TEXT),
            _need("birds", _BIRDS),
            _need("state", Choice(("chilled", "frozen"))),
            _may("probe", _PROBE),
            _need("decision", Choice(("accepted", "rejected"))),
            _may("use_by", Day()),
        ),
        (
            Variants("state", {"chilled": _READING_IF_ANY, "frozen": ()}),
            Variants("decision", {"accepted": (), "rejected": (_may("reason", TEXT),)}),
        ),
    ),
    Kind(
        "unit_check",
        (
            _need("unit_code", Code(kinds=("cold_unit", "hot_unit"))),
            _need("of", Choice(("air", "food"))),
            *_READING,
            _may("probe", _PROBE),
        ),
    ),
    Kind("load_started", (_need("load", _NAME), _need("oven", _OVEN), _need("checks", Items({"": "start_checks"})))),
    Kind(
        "spit_loaded",
        (
            _need("load", _NAME),
            _need("spit", _NUMBER),
            _need("birds", _BIRDS),
            _may("lot", TEXT),
            _may("mean_weight", Measured(0, 100, "lb or kg", over=True)),
            _may("weight_unit", Choice(("lb", "kg"))),
            _may("ties", _COUNT),
            _may("skewers", _COUNT),
        ),
    ),
    Kind(
        "oven_setting",
        (
            _need("oven", _OVEN),
            _may("rotation", Measured(0, 100, "%")),
            *_READING_IF_ANY,
            _may("humidity", Measured(0, 100, "%")),
        ),
    ),
    Kind(
        "cook_reading",
        (
            _need("load", _NAME),
            _need("spit", _NUMBER),
            _need("bird", _NUMBER),
            _need("place", Choice(("breast", "thigh"))),
            *_READING,
            _need("probe", _PROBE),
            _may("held_s", _HELD),
        ),
    ),
    Kind(
        "spit_pulled",
        (
            _need("load", _NAME),
            _need("spit", _NUMBER),
            _need("birds", _COUNT),
            _may("ties_removed", _COUNT),
            _may("skewers_removed", _COUNT),
        ),
        (
            Variants(
                "birds",
                {
                    "some": (
                        _need("tray", _NAME),
                        _may("hot_unit", _HOT_UNIT),
                        _may("discarded_birds", Numbers()),
                    ),
                    "none": (_need("discarded_birds", Numbers()),),
                },
                _is_none,
            ),
        ),
    ),
    Kind("hold_reading", (_need("tray", _NAME), *_READING, _need("probe", _PROBE))),
    Kind("tray_moved", (_need("tray", _NAME), _need("hot_unit", _HOT_UNIT))),
    Kind("tray_out", (_need("tray", _NAME), _need("to", Choice(tuple(_TRAY_OUT)))), (Variants("to", _TRAY_OUT),)),
    Kind("time_control_started", (_need("tray", _NAME), _may("marked_discard_by", Instant()))),
    Kind("cooling_reading", (_need("batch", _NAME), *_READING, _need("probe", _PROBE))),
    Kind("batch_moved", (_need("batch", _NAME), _need("cold_unit", _COLD_UNIT))),
    Kind("reheat_started", (_need("batch", _NAME), _need("birds", _QUARTERS), _need("reheat", _NAME))),
    Kind("reheat_reading", (_need("reheat", _NAME), *_READING, _need("probe", _PROBE), _may("held_s", _HELD))),
    Kind(
        "reheat_done",
        (
            _need("reheat", _NAME),
            _need("tray", _NAME),
            _may("hot_unit", _HOT_UNIT),
            _need("birds", _QUARTERS),
            _may("discarded", _COUNT),
        ),
    ),
    Kind(
        "batch_out",
        (
            _need("batch", _NAME),
            _need("birds", _QUARTERS),
            _need("to", Choice(("served_cold", "reheated_to_order", "prepared", "donated", "discarded"))),
        ),
    ),
    Kind(
        "probe_check",
        (
            _need("probe", _PROBE),
            _need("method", Choice(("ice_point", "boiling_point", "comparison"))),
            _may("no_display", Flag(only_true=True)),
            _need("adjusted", _FLAG),
        ),
        (
            Variants("no_display", {"without": _READING, "with": ()}, _is_given),
            Variants(
                "method",
                {
                    "ice_point": (),
                    "boiling_point": (
                        _may("pressure_hpa", Measured(300, 1100, "hPa")),
                        _may("altitude_m", Measured(-500, 9000, "m")),
                    ),
                    "comparison": (_need("reference_temperature", _DEGREES), _may("unit", _UNIT)),
                },
            ),
        ),
    ),
    Kind("equipment_out", (_need("code", Code()), _may("cause", LINES))),
    Kind("equipment_back", (_need("code", Code()), _may("cause", LINES))),
    Kind(
        "checklist",
        (
            _need("list", Choice(("opening", "closing"))),
            _need("items", Items({"opening": "opening_checks", "closing": "closing_checks"})),
        ),
    ),
    Kind("in_charge_from"),
    Kind(
        "corrective_action",
        (
            _need("findings", Keys()),
            _need("cause", LINES),
            _need("action", LINES),
            _need("disposition", Choice(_DISPOSITIONS)),
            _need("prevention", LINES),
        ),
    ),
    Kind(
        "action_verified",
        (_need("findings", Keys()), _need("outcome", Choice(("accepted", "sent_back"))), _may("remark", LINES)),
        amendable=False,
    ),
    Kind("sign_off", (_need("day", Day()), _need("meaning", Choice(("reviewed",)))), amendable=False),
    Kind("note", (_need("text", LINES),)),
)

KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _TABLE})
"""Every kind by name, in the order of a day."""

OF_EVERY_ENTRY: Fields = (
    _need("id", Id()),
    _need("kind", Choice(tuple(KINDS))),
    _need("observed_at", Instant()),
    _may("note", LINES),
)
OF_TABLETS: Fields = (_may("person", TEXT), _may("entered_at", Instant()))
"""Whose entry it is, and when it was saved on the tablet: only a tablet's credential may say so."""

OF_AMENDMENTS: Fields = (_need("amends", Id()), _need("amend_reason", TEXT))
OF_WITHDRAWALS: Fields = (*OF_AMENDMENTS, _need("withdrawn", Flag(only_true=True)))
"""A withdrawal has nothing else but `id`, `kind` and `observed_at`."""

SET_BY_SERVER = (
    *("v", "site", "seq", "recorded_at", "via", "clock_offset_s", "late", "previous_hash", "hash"),
    *("signer_name", "covers_seq", "covers_hash", "as_of"),
)


def all_fields(kind: Kind) -> Mapping[str, Field]:
    """Give every field that an entry of this kind may have in one variant or another, by name."""
    fields = list(kind.fields)
    for variants in kind.variants:
        fields += [field for case in variants.cases.values() for field in case]
    return {field.name: field for field in reversed(fields)}
