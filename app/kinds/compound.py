"""Types of fields that hold several values: lists and objects."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from .fields import AsHashed, Text
from .values import BadValue

_LONGEST_LIST = 500


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

    def typed(self, hashed: list[int]) -> tuple[int, ...]:
        """Give the numbers."""
        return tuple(hashed)


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

    def typed(self, hashed: list[str]) -> tuple[str, ...]:
        """Give the keys."""
        return tuple(hashed)


@dataclass(frozen=True, slots=True)
class Items(AsHashed):
    """An object: item of the plan's list → true, false or null (does not apply)."""

    plan_lists: Mapping[str, str]
    """Value of `list` (or empty) → name of the plan's list."""

    def read(self, value: Any) -> dict[str, bool | None]:
        """Give the object as it is; whether the plan has its items, a later stage says."""
        if type(value) is not dict or any(item is not None and type(item) is not bool for item in value.values()):
            raise BadValue("type", expected="item: true, false or null")
        return value


@dataclass(frozen=True, slots=True)
class Object(AsHashed):
    """An object that the program itself writes; `says` is for readers: what its names and values are."""

    says: str

    def read(self, value: Any) -> dict[str, Any]:
        """Give the object as it is."""
        if type(value) is not dict:
            raise BadValue("type", expected="object")
        return value
