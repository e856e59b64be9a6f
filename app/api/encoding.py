"""JSON in and out: what a client sends is read strictly, what it gets has plain numbers and instants in UTC."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any

from flask import Response

_ENCODER = json.JSONEncoder(separators=(",", ":"))


class NotJson(ValueError):
    """A body that is not JSON as RFC 8259 and RFC 7493 (I-JSON) have it."""


def read_json(body: bytes) -> Any:
    """Read a body; numbers with a point or an exponent become Decimal, so that nothing is lost on the way.

    Raises NotJson: malformed, not UTF-8, NaN or Infinity, a name twice in an object, too deep.
    """
    try:
        return json.loads(
            body.decode("utf-8"),
            parse_float=Decimal,
            parse_constant=_refuse_constant,
            object_pairs_hook=_object,
        )
    except RecursionError:
        raise NotJson("it is nested too deeply") from None
    except ArithmeticError:
        raise NotJson("a number is too large") from None
    except UnicodeDecodeError:
        raise NotJson("it is not UTF-8") from None
    except NotJson:
        raise
    except ValueError as error:
        raise NotJson(str(error)) from None


def _refuse_constant(name: str) -> None:
    raise NotJson(f"{name} is no JSON number")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    read = dict(pairs)
    if len(read) != len(pairs):
        raise NotJson("an object has the same name twice")
    return read


def json_response(value: Any, *, status: int = 200, content_type: str = "application/json") -> Response:
    """Give an answer in JSON; the value has only what JSON has (`plain` makes it so)."""
    # Escaped to ASCII: half a surrogate pair that a client sent and a message repeats does not break the answer.
    return Response(_ENCODER.encode(value) + "\n", status, content_type=content_type)


def plain(value: Any) -> Any:
    """Give a value of the rules as JSON has it: numbers, UTC instants, dates, lists, objects."""
    if isinstance(value, Enum):
        return value.value
    if value is None or isinstance(value, str | int | float):
        return value
    if isinstance(value, Decimal):
        return number(value)
    if isinstance(value, datetime):
        return instant(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Mapping):
        return {str(key): plain(item) for key, item in value.items()}
    if is_dataclass(value):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    return [plain(item) for item in value]


def number(value: Decimal) -> int | float:
    """Give a measured value as a JSON number: 165, 164.9. Two decimals survive a float unchanged."""
    return int(value) if value == value.to_integral_value() else float(value)


def instant(at: datetime) -> str:
    """Give an instant in UTC with milliseconds, e.g. `2026-04-14T17:00:00.000Z`."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.") + f"{at.microsecond // 1000:03d}Z"
