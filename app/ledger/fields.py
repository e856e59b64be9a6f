"""Types of fields: each turns what a client sent into what is hashed, or says why it cannot."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import lru_cache
from typing import Any, Protocol

from app.db import EPOCH

LONGEST_TEXT = 1000
_LONGEST_RAW = 10 * LONGEST_TEXT  # normalising may shorten a text, but not that much: longer ones are not looked at
_LONGEST_LIST = 500

_LAST_YEAR = 9998  # one short of what a datetime holds, so that time zones and due times still fit behind it


class BadValue(ValueError):
    """A value that a field does not take: `code` is type or range, `values` help to say what it does take."""

    def __init__(self, code: str, **values: object) -> None:
        super().__init__(code)
        self.code, self.values = code, values


class FieldType(Protocol):
    """Reads one field. Gives None for what is as good as absent. Raises BadValue."""

    def read(self, value: Any) -> Any:
        """Give the value as it is hashed."""


# ---- text ----------------------------------------------------------------------------------------------------------

_BIDIRECTIONAL = dict.fromkeys([0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)])


@dataclass(frozen=True, slots=True)
class Text:
    """Free text, NFC and trimmed; several lines only where `lines` says so."""

    lines: bool = False

    def read(self, value: Any) -> str | None:
        """Give the text; None if nothing is left of it."""
        if type(value) is not str:
            raise BadValue("type", expected="text")
        if len(value) > _LONGEST_RAW:
            raise BadValue("range", high=LONGEST_TEXT)
        text = value.strip()
        if not (text.isascii() and text.isprintable()):
            text = self._normalised(text)
        if len(text) > LONGEST_TEXT:
            raise BadValue("range", high=LONGEST_TEXT)
        return text or None

    def _normalised(self, text: str) -> str:
        if self.lines:
            text = text.replace("\r\n", "\n").replace("\r", "\n")
        for character in text:
            if _is_refused(character) and not (self.lines and character == "\n"):
                raise BadValue("range", expected="text" if self.lines else "one line of text")
        return unicodedata.normalize("NFC", text)


def _is_refused(character: str) -> bool:
    """Whether a character steers a terminal or the direction of text, or is half of a pair: no reader could see it."""
    return unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp") or ord(character) in _BIDIRECTIONAL


_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}")


@dataclass(frozen=True, slots=True)
class Name:
    """A name that its opener gives: of a load, tray, batch or reheat."""

    def read(self, value: Any) -> str:
        """Give the name as it is."""
        if type(value) is not str or _NAME.fullmatch(value) is None:
            raise BadValue("type", expected="letters, digits . _ - (at most 32)")
        return value


@dataclass(frozen=True, slots=True)
class Code(Text):
    """The code of a listed piece of equipment of one of these kinds; whether it is listed, a later stage says."""

    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice:
    """One of a closed set of words."""

    values: tuple[str, ...]

    def read(self, value: Any) -> str:
        """Give the word."""
        if type(value) is not str:
            raise BadValue("type", expected="text")
        if value not in self.values:
            raise BadValue("range", allowed=self.values)
        return value


# ---- truth, identity, time -----------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false; with `only_true` false is no answer."""

    only_true: bool = False

    def read(self, value: Any) -> bool:
        """Give the boolean."""
        if type(value) is not bool:
            raise BadValue("type", expected="true or false")
        if self.only_true and not value:
            raise BadValue("range", allowed=(True,))
        return value


_UUID = re.compile(r"[0-9a-fA-F]{8}(?:-[0-9a-fA-F]{4}){3}-[0-9a-fA-F]{12}")


@dataclass(frozen=True, slots=True)
class Id:
    """A UUID in its usual form, kept in lower case."""

    def read(self, value: Any) -> str:
        """Give the UUID in lower case."""
        if type(value) is not str or _UUID.fullmatch(value) is None:
            raise BadValue("type", expected="UUID")
        return value.lower()


_INSTANT = re.compile(
    r"([0-9]{4}-[0-9]{2}-[0-9]{2})[Tt]([0-9]{2}:[0-9]{2}:)([0-9]{2})(\.[0-9]+)?([Zz]|[+-](?:[01][0-9]|2[0-3]):[0-5][0-9])"
)


@dataclass(frozen=True, slots=True)
class Instant:
    """An RFC 3339 instant with its offset, kept in UTC to the millisecond (what is finer is cut off)."""

    def read(self, value: Any) -> str:
        """Give the instant as `YYYY-MM-DDTHH:MM:SS.mmmZ`."""
        return instant_text(read_instant(value))


def read_instant(value: Any) -> datetime:
    """Read an RFC 3339 instant. Raises BadValue."""
    found = _INSTANT.fullmatch(value) if type(value) is str else None
    if found is None:
        raise BadValue("type", expected="2026-04-14T10:31:00-05:00")
    day, minutes, seconds, fraction, offset = found.groups()
    # RFC 3339 allows second 60 where a leap second was inserted; as in POSIX it is the second that follows.
    leap = timedelta(seconds=1) if seconds == "60" else timedelta(0)
    text = f"{day}T{minutes}{'59' if leap else seconds}{(fraction or '.')[:4].ljust(4, '0')}"
    try:
        at = datetime.fromisoformat(f"{text}{'+00:00' if offset in 'Zz' else offset}").astimezone(UTC) + leap
    except (ValueError, OverflowError):
        raise BadValue("type", expected="2026-04-14T10:31:00-05:00") from None
    if not at >= EPOCH or at.year > _LAST_YEAR:
        raise BadValue("range", low="1970-01-01T00:00:00Z")
    return at


def instant_text(at: datetime) -> str:
    """Give a UTC instant as it is hashed."""
    return at.replace(tzinfo=None).isoformat(timespec="milliseconds") + "Z"


_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")


@dataclass(frozen=True, slots=True)
class Day:
    """A calendar date, `YYYY-MM-DD`."""

    def read(self, value: Any) -> str:
        """Give the date as it is."""
        if type(value) is not str or _DATE.fullmatch(value) is None:
            raise BadValue("type", expected="2026-04-14")
        try:
            day = date.fromisoformat(value)
        except ValueError:
            raise BadValue("type", expected="2026-04-14") from None
        if not EPOCH.year <= day.year <= _LAST_YEAR:
            raise BadValue("range", low="1970-01-01")
        return value


# ---- numbers -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Count:
    """A whole number of things: a JSON integer, never 5.0 and never true."""

    low: int = 0
    high: int = 500

    def read(self, value: Any) -> int:
        """Give the integer."""
        if type(value) is not int:
            raise BadValue("type", expected="whole number")
        if not self.low <= value <= self.high:
            raise BadValue("range", low=self.low, high=self.high)
        return value


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured number with at most two decimals, kept as text in its shortest plain form. `unit` is for readers."""

    low: int
    high: int
    unit: str = ""
    over: bool = False
    """True where `low` itself is too low."""
    step: int = 1
    """In hundredths: 25 where quarters are counted."""

    def read(self, value: Any) -> str:
        """Give the shortest plain form, e.g. `164.9`."""
        text, hundredths = read_number(value)
        low = 100 * self.low
        if not low <= hundredths <= 100 * self.high or (self.over and hundredths == low) or hundredths % self.step:
            raise BadValue("range", low=Decimal(self.step) / 100 if self.over else self.low, high=self.high)
        return text


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


# ---- lists and objects ---------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Numbers:
    """A list of different bird numbers."""

    def read(self, value: Any) -> list[int] | None:
        """Give the numbers as they are; None for an empty list."""
        if type(value) is not list or any(type(item) is not int for item in value):
            raise BadValue("type", expected="list of whole numbers")
        if any(not 1 <= item <= _LONGEST_LIST for item in value) or len(set(value)) != len(value):
            raise BadValue("range", low=1, high=_LONGEST_LIST)
        return value or None


@dataclass(frozen=True, slots=True)
class Keys:
    """A list of findings' keys, each once."""

    def read(self, value: Any) -> list[str] | None:
        """Give the keys; None for an empty list."""
        if type(value) is not list or any(type(item) is not str for item in value):
            raise BadValue("type", expected="list of keys")
        if len(value) > _LONGEST_LIST:
            raise BadValue("range", high=_LONGEST_LIST)
        keys = [Text().read(item) for item in value]
        return list(dict.fromkeys(key for key in keys if key)) or None


@dataclass(frozen=True, slots=True)
class Items:
    """An object: item of the plan's list → true, false or null (does not apply)."""

    plan_lists: Mapping[str, str]
    """Value of `list` (or empty) → name of the plan's list."""

    def read(self, value: Any) -> dict[str, bool | None]:
        """Give the object as it is; whether the plan has its items, a later stage says."""
        if type(value) is not dict or any(item is not None and type(item) is not bool for item in value.values()):
            raise BadValue("type", expected="item: true, false or null")
        return value
