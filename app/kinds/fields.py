"""Types of fields: each turns what a client sent into what is hashed, or says why it cannot."""

import re
import unicodedata
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any, Protocol

from .values import EPOCH, LAST_YEAR, BadValue, instant_text, read_instant, read_number

LONGEST_TEXT = 1000
_LONGEST_RAW = 10 * LONGEST_TEXT  # normalising may shorten a text, but not that much: longer ones are not looked at


class FieldType(Protocol):
    """The form of one field: how a client may send it, how it is hashed, and what it is in an entry."""

    def read(self, value: Any) -> Any:
        """Give what a client sent as it is hashed; None for what is as good as absent. Raises BadValue."""

    def typed(self, hashed: Any) -> Any:
        """Give what was hashed as an entry has it."""


class AsHashed:
    """A field that an entry has as it was hashed."""

    __slots__ = ()

    def typed(self, hashed: Any) -> Any:
        """Give it as it is."""
        return hashed


# ---- text ----------------------------------------------------------------------------------------------------------

_BIDIRECTIONAL = dict.fromkeys([0x061C, 0x200E, 0x200F, *range(0x202A, 0x202F), *range(0x2066, 0x206A)])


@dataclass(frozen=True, slots=True)
class Text(AsHashed):
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


@dataclass(frozen=True, slots=True)
class Who(Text):
    """Somebody: the sign-in name of who is known here, or the name of who is not. Nothing checks which."""


_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,31}")


@dataclass(frozen=True, slots=True)
class Name(AsHashed):
    """The name of a load, tray, batch or reheat, which its opener gives; `role` is what the entry does to it."""

    of: str
    role: str

    def read(self, value: Any) -> str:
        """Give the name as it is."""
        if type(value) is not str or _NAME.fullmatch(value) is None:
            raise BadValue("type", expected="letters, digits . _ - (at most 32)")
        return value


@dataclass(frozen=True, slots=True)
class Code(Text):
    """The code of a listed piece of equipment of one of these kinds (of any, where none is named).

    Whether it is listed, a later stage of checking says.
    """

    kinds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Choice(AsHashed):
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
class Flag(AsHashed):
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
class Id(AsHashed):
    """A UUID in its usual form, kept in lower case."""

    def read(self, value: Any) -> str:
        """Give the UUID in lower case."""
        if type(value) is not str or _UUID.fullmatch(value) is None:
            raise BadValue("type", expected="UUID")
        return value.lower()


@dataclass(frozen=True, slots=True)
class Instant:
    """An RFC 3339 instant with its offset, kept in UTC to the millisecond (what is finer is cut off)."""

    def read(self, value: Any) -> str:
        """Give the instant as `YYYY-MM-DDTHH:MM:SS.mmmZ`."""
        return instant_text(read_instant(value))

    def typed(self, hashed: str) -> datetime:
        """Give the instant, in UTC."""
        return datetime.fromisoformat(hashed)


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
        if not EPOCH.year <= day.year <= LAST_YEAR:
            raise BadValue("range", low="1970-01-01")
        return value

    def typed(self, hashed: str) -> date:
        """Give the date."""
        return date.fromisoformat(hashed)


# ---- numbers -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Count(AsHashed):
    """A whole number of things: a JSON integer, never 5.0 and never true."""

    low: int = 0
    high: int = 500
    step: int = 1
    """From `low` on, only every `step`th number is taken: 12 or 24 hours of a clock face."""

    @property
    def taken(self) -> range:
        """The numbers that are taken."""
        return range(self.low, self.high + 1, self.step)

    def read(self, value: Any) -> int:
        """Give the integer."""
        if type(value) is not int:
            raise BadValue("type", expected="whole number")
        if value not in self.taken:
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

    def typed(self, hashed: str | int) -> Decimal:
        """Give the number. It was hashed as an integer where only whole ones are taken."""
        return Decimal(hashed)


# ---- forms that several kinds share --------------------------------------------------------------------------------

NUMBER, COUNT = Count(1, 500), Count(0, 500)
BIRDS, QUARTERS = Count(1, 500), Measured(0, 500, "birds", over=True, step=25)
HELD = Measured(0, 86_400, "s")
PERCENT = Measured(0, 100, "%")
LINE, LINES = Text(), Text(lines=True)
CONFIRMED = Flag(only_true=True)
"""The person was asked whether a reading is right, and said so."""
PROBE, OVEN = Code(kinds=("probe",)), Code(kinds=("oven",))
HOT_UNIT, COLD_UNIT = Code(kinds=("hot_unit",)), Code(kinds=("cold_unit",))
