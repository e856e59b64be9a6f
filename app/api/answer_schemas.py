"""JSON Schemas of what the API answers; a test holds real answers to them."""

from typing import Any

from app.rules.facts import Concern, Status, Verdict

Schema = dict[str, Any]

_TEXT: Schema = {"type": "string"}
_TEXT_OR_NULL: Schema = {"type": ["string", "null"]}
_NUMBER: Schema = {"type": "number"}
_COUNT: Schema = {"type": "integer", "minimum": 0}
_FLAG: Schema = {"type": "boolean"}
_INSTANT: Schema = {"type": "string", "format": "date-time"}
_INSTANT_OR_NULL: Schema = {"type": ["string", "null"], "format": "date-time"}
_DAY: Schema = {"type": "string", "format": "date"}
_DAY_OR_NULL: Schema = {"type": ["string", "null"], "format": "date"}
_HASH: Schema = {"type": "string", "pattern": "^[0-9a-f]{64}$"}
_VERDICT: Schema = {"type": "string", "enum": [str(verdict) for verdict in Verdict]}
_UNIT: Schema = {"type": "string", "enum": ["F", "C"]}
_OPEN: Schema = {"type": "object"}


def _object(may: dict[str, Schema] | None = None, /, **must: Schema) -> Schema:
    properties = {**must, **(may or {})}
    return {"type": "object", "properties": properties, "required": list(must), "additionalProperties": False}


def _with_own_fields(schema: Schema) -> Schema:
    """Give the schema of an entry: its kind's own fields stand beside the common ones."""
    return schema | {"additionalProperties": True}


def _list(of: Schema) -> Schema:
    return {"type": "array", "items": of}


def _or_null(schema: Schema) -> Schema:
    return {"anyOf": [schema, {"type": "null"}]}


_SUBJECT = _object({"spit": _COUNT}, kind=_TEXT, name=_TEXT)
_READ = _object(temperature=_NUMBER, unit=_UNIT)
_STAGE = _object(verdict=_VERDICT, due_at=_INSTANT)

_SET_ASIDE = _or_null(
    _object(since=_INSTANT, findings=_list(_TEXT), cleared=_list(_TEXT), ways=_list(_TEXT), release=_FLAG)
)
_FOOD = _object(
    here=_list(_object({"spit": _COUNT}, kind=_TEXT, name=_TEXT, birds=_NUMBER)),
    gone=_list(_object(to=_TEXT, birds=_NUMBER, at=_INSTANT)),
)

_KEPT = {
    "seq": _COUNT,
    "id": _TEXT,
    "kind": _TEXT,
    "observed_at": _INSTANT,
    "recorded_at": _INSTANT,
    "person": _TEXT,
    "via": _TEXT,
    "late": _FLAG,
}
_BY_TABLET = {"identified": {"type": "string", "enum": ["pin", "recent"]}}
"""What showed whose entry it is, where it came from a tablet's page."""
_ENTRY = _with_own_fields(_object(_BY_TABLET, **_KEPT, superseded_by=_TEXT_OR_NULL))
_SPIT = _object(
    spit=_COUNT,
    birds=_COUNT,
    lots=_list(_TEXT),
    verdict=_VERDICT,
    birds_probed=_COUNT,
    lowest=_or_null(_READ),
    pulled_at=_INSTANT_OR_NULL,
    trays=_list(_TEXT),
    set_aside=_SET_ASIDE,
)
_TRAY = _object(
    tray=_TEXT,
    hot_unit=_TEXT_OR_NULL,
    birds_in=_NUMBER,
    birds_left=_NUMBER,
    verdict=_VERDICT,
    known_hot_at=_INSTANT_OR_NULL,
    check_due_at=_INSTANT_OR_NULL,
    out_of_temperature_s=_COUNT,
    time_band={"type": "string", "enum": ["under_2h", "from_2h", "from_4h"]},
    discard_at=_INSTANT_OR_NULL,
    set_aside=_SET_ASIDE,
)
_BATCH = _object(
    batch=_TEXT,
    birds_in=_NUMBER,
    birds_left=_NUMBER,
    first_stage=_or_null(_STAGE),
    total=_or_null(_STAGE),
    use_by=_DAY_OR_NULL,
    product=_TEXT_OR_NULL,
    set_aside=_SET_ASIDE,
)
_REHEAT_FIELDS = {
    "reheat": _TEXT,
    "from": _TEXT,
    "birds_in": _NUMBER,
    "birds_left": _NUMBER,
    "verdict": _VERDICT,
    "started_at": _INSTANT,
    "due_at": _INSTANT,
    "set_aside": _SET_ASIDE,
}
_PROBE = _object(
    probe=_TEXT,
    verdict=_VERDICT,
    error={"type": ["number", "null"]},
    unit={"enum": ["F", "C", None]},
    due_at=_INSTANT_OR_NULL,
)
_COLD_UNIT = _object(
    unit_code=_TEXT,
    verdict=_VERDICT,
    checks=_COUNT,
    last=_or_null(_object(temperature=_NUMBER, unit=_UNIT, of={"enum": ["air", "food"]}, at=_INSTANT)),
)
_RECEIVING = _object(
    lot=_TEXT,
    product=_TEXT,
    supplier=_TEXT,
    birds=_COUNT,
    decision={"enum": ["accepted", "rejected"]},
    verdict=_VERDICT,
)
_FINDING_FIELDS = {
    "key": _TEXT,
    "rule": _TEXT,
    "subject": _SUBJECT,
    "verdict": _VERDICT,
    "concerns": {"enum": [str(concern) for concern in Concern]},
    "day": _DAY,
    "onset_at": _INSTANT,
    "found_at": _INSTANT,
    "ended_at": _INSTANT_OR_NULL,
    "entries": _list(_TEXT),
    "measured": _OPEN,
    "limit": _OPEN,
    "source": _TEXT,
    "dispositions": _list(_TEXT),
    "status": {"enum": [str(status) for status in Status]},
}
_MOVEMENTS = ("loaded", "pulled", "served", "prepared", "donated", "discarded", "chilled", "reheated")
_BIRDS = _object(**dict.fromkeys((*_MOVEMENTS, "returned_to_oven", "left"), _NUMBER))
_BLOCKING = _object({"key": _TEXT}, kind={"enum": ["finding", "cleared", "running"]}, subject=_SUBJECT)
_SIGNED = _object(seq=_COUNT, covers_seq=_COUNT, covers_hash=_HASH, signer_name=_TEXT, at=_INSTANT, stale=_FLAG)

DAY = _object(
    site=_TEXT,
    day=_DAY,
    as_of=_INSTANT,
    through_seq=_COUNT,
    plan=_object(code=_TEXT, version=_COUNT, adopted_by=_TEXT, start_checks=_list(_TEXT)),
    entries=_list(_ENTRY),
    loads=_list(_object(load=_TEXT, oven=_TEXT, started_at=_INSTANT, plan_version=_COUNT, spits=_list(_SPIT))),
    trays=_list(_TRAY),
    batches=_list(_BATCH),
    reheats=_list(_object(**_REHEAT_FIELDS)),
    probes=_list(_PROBE),
    cold_units=_list(_COLD_UNIT),
    receiving=_list(_RECEIVING),
    findings=_list(_object({"food": _FOOD}, **_FINDING_FIELDS)),
    cleared=_list(_object({"food": _FOOD}, **_FINDING_FIELDS, mended_by=_TEXT)),
    birds=_BIRDS,
    ready_to_sign=_FLAG,
    blocking=_list(_BLOCKING),
    signed=_or_null(_SIGNED),
    patterns=_list(_object(pattern={"enum": ["written_together", "jump", "early"]}, entries=_list(_TEXT))),
    late=_object(readings=_COUNT, late=_COUNT),
)

RESULT = _object(
    id=_TEXT_OR_NULL,
    status={"type": "string", "enum": ["accepted", "duplicate", "rejected"]},
    seq={"type": ["integer", "null"]},
    errors=_list(_object({"dependents": _list(_TEXT)}, field=_TEXT, code=_TEXT, message=_TEXT)),
)

PROBLEM = _object(type=_TEXT, title=_TEXT, status=_COUNT, detail=_TEXT)

_WITHOUT_PERSON = {name: schema for name, schema in _KEPT.items() if name != "person"}
"""A command that asks for no login writes the register's entries without one."""

LEDGER_LINE = _with_own_fields(
    _object({"person": _TEXT, **_BY_TABLET}, **_WITHOUT_PERSON, v=_COUNT, site=_TEXT, previous_hash=_HASH, hash=_HASH)
)
