"""Instants and numbers as clients write them, and as they are hashed."""

import re
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
LAST_YEAR = 9998  # one short of what a datetime holds, so that time zones and due times still fit behind it


class BadValue(ValueError):
    """A value that a field does not take: `code` is type or range, `values` help to say what it does take."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code)
        self.code, self.values = code, values


# ---- instants ------------------------------------------------------------------------------------------------------

_INSTANT = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt]([0-9]{2}:[0-9]{2}:)([0-9]{2})(\.[0-9]+)?([Zz]|[+-](?:[01][0-9]|2[0-3]):[0-5][0-9])"
)

_USUAL = re.compile(
    r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-5][0-9](?:\.[0-9]{3})?(?:Z|[+-](?:[01][0-9]|2[0-3]):[0-5][0-9])"
)


def read_instant(value: Any) -> datetime:
    """Read an RFC 3339 instant. Raises BadValue."""
    if type(value) is not str:
        raise BadValue("type", expected="2026-04-14T10:31:00-05:00")
    try:
        at = datetime.fromisoformat(value if _USUAL.fullmatch(value) else _made_usual(value)).astimezone(UTC)
        if value[17:19] == "60":
            at += timedelta(seconds=1)  # a leap second is, as in POSIX, the second that follows
    except (ValueError, OverflowError):
        raise BadValue("type", expected="2026-04-14T10:31:00-05:00") from None
    if not at >= EPOCH or at.year > LAST_YEAR:
        raise BadValue("range", low="1970-01-01T00:00:00Z")
    return at


def _made_usual(value: str) -> str:
    """Write any other form of RFC 3339 (lower case, more or fewer decimals, second 60) so that Python reads it."""
    found = _INSTANT.fullmatch(value)
    if found is None:
        raise ValueError(value)
    day, minutes, seconds, fraction, offset = found.groups()
    part = (fraction or ".")[:4].ljust(4, "0")
    return f"{day}T{minutes}{'59' if seconds == '60' else seconds}{part}{offset.upper()}"


def instant_text(at: datetime) -> str:
    """Give a UTC instant as it is hashed."""
    return f"{at.isoformat(timespec='milliseconds')[:23]}Z"


# ---- numbers -------------------------------------------------------------------------------------------------------

_NUMBER = re.compile(r"(-?)0*([0-9]+)(?:\.([0-9]{1,2}))?")
_LONGEST_NUMBER = 12


def read_number(value: Any) -> tuple[str, int]:
    """Read a JSON number, or text of ASCII digits: the shortest plain form and the value in hundredths.

    Raises BadValue.
    """
    if type(value) is str:
        return _read_digits(value)
    if type(value) is int:
        # Nothing measured here needs nine digits; text of a huge integer would cost time, or be refused by Python.
        return _read_digits(str(value) if abs(value) < 10**_LONGEST_NUMBER else "9" * _LONGEST_NUMBER)
    if type(value) is Decimal:
        return _read_fraction(value)
    if type(value) is float:
        return _read_fraction(Decimal(repr(value)))
    raise BadValue("type", expected="number")


def _read_fraction(value: Decimal) -> tuple[str, int]:
    if value.is_finite() and abs(value) < 10**_LONGEST_NUMBER:
        exponent = value.as_tuple().exponent
        if isinstance(exponent, int) and exponent < -40:
            raise BadValue("type", expected="number")
        text = f"{value:f}"
        return _read_digits(text.rstrip("0").rstrip(".") if "." in text else text)
    raise BadValue("type" if value.is_nan() else "range", expected="number")


@lru_cache(maxsize=4096)
def _read_digits(text: str) -> tuple[str, int]:
    found = _NUMBER.fullmatch(text)
    if found is None:
        raise BadValue("type", expected="number")
    minus, whole, decimals = found.groups()
    if len(whole) > _LONGEST_NUMBER:
        raise BadValue("range")
    hundredths = 100 * int(whole) + int((decimals or "").ljust(2, "0"))
    shown = whole if not hundredths % 100 else f"{whole}.{hundredths % 100:02d}".rstrip("0")
    return (f"-{shown}", -hundredths) if minus and hundredths else (shown, hundredths)
