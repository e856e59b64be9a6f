"""The register of a site as entries: the site itself, its plan, people, equipment, clock and credentials.

The program writes them in the transaction that makes the change; no client may. None holds a secret.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any

from .compound import Object
from .entry import Entry
from .fields import LINE, Choice, Count, Flag, Instant, Measured
from .form import Called, SetByServer

EQUIPMENT_TYPES = ("oven", "hot_unit", "cold_unit", "probe")
SCALES = ("F", "C", "dual")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class RegisterEntry(Entry):
    """Common to all of the register: each holds from when it was recorded, or from `holds_from`."""

    AMENDABLE = False
    IS_WORK = COUNTS_FOR_DAY = False
    source: Annotated[str | None, Choice(("upgrade",))] = None
    """`upgrade` where an upgrade wrote down what tables without entries said."""
    holds_from: Annotated[datetime | None, Instant()] = None

    @property
    def holds_at(self) -> datetime:
        """From when on it holds."""
        return self.recorded_at if self.holds_from is None else self.holds_from


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteSet(RegisterEntry):
    """What the kitchen is called and where it lies."""

    KIND = "site_set"
    site: Annotated[str, LINE, SetByServer()] = ""
    """The kitchen's code."""
    name: Annotated[str, LINE]
    timezone: Annotated[str, LINE]
    altitude_m: Annotated[Decimal | None, Measured(-500, 9000, "m")] = None
    address: Annotated[str | None, LINE] = None
    permit: Annotated[str | None, LINE] = None
    language: Annotated[str | None, Choice(("en", "es"))] = None
    clock: Annotated[int | None, Count(12, 24, step=12)] = None
    """Hours of a clock face: 12 or 24."""
    unit: Annotated[str | None, Choice(("F", "C"))] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanAdopted(RegisterEntry):
    """A plan version with every value that holds under it: what it says, no later edition of the program changes."""

    KIND = "plan_adopted"
    code: Annotated[str, LINE]
    version: Annotated[int, Count(1, 2**31)]
    settings: Annotated[Mapping[str, str], Object("setting → text")]
    """What the site set on top of the code, as it was typed."""
    values: Annotated[Mapping[str, Any], Object("name → value and its source")]
    authority: Annotated[str | None, LINE] = None
    variance: Annotated[Mapping[str, str] | None, Object("setting → variance")] = None
    """Setting that is looser than the code → the variance that allows it; `*` where none is."""
    items: Annotated[Mapping[str, str] | None, Object("check item of the kitchen's own → its words")] = None
    texts: Annotated[Mapping[str, str] | None, Object("part of the plan → the kitchen's own text")] = None
    attachments: Annotated[Mapping[str, Mapping[str, Any]] | None, Object("SHA-256 → part, name, type, bytes")] = None
    """Files that belong to the texts: the bytes lie outside the ledger, under this digest of theirs."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PersonSet(RegisterEntry):
    """Somebody's name and role."""

    KIND = "person_set"
    login: Annotated[str, LINE]
    name: Annotated[str, LINE]
    role: Annotated[str, LINE]
    retired: Annotated[bool, Flag()]
    certificate: Annotated[str | None, LINE] = None
    language: Annotated[str | None, LINE] = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class EquipmentSet(RegisterEntry):
    """A piece of equipment is listed or retired."""

    KIND = "equipment_set"
    type: Annotated[str, Choice(EQUIPMENT_TYPES)]
    code: Annotated[str, LINE]
    scale: Annotated[str | None, Choice(SCALES)] = None
    retired: Annotated[bool, Flag()]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ClockSet(RegisterEntry):
    """The server's clock was behind its own records, and somebody accepted it: the one entry that may go back."""

    KIND = "clock_set"
    was: Annotated[datetime, Instant()]
    is_: Annotated[datetime, Instant(), Called("is")]
    reason: Annotated[str, LINE]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CredentialSet(RegisterEntry):
    """A password, PIN, token or tablet's credential was given or ended. The secret itself is never in it."""

    KIND = "credential_set"
    credential: Annotated[str, Choice(("password", "pin", "token", "tablet"))]
    login: Annotated[str | None, LINE] = None
    tablet: Annotated[str | None, LINE] = None
    number: Annotated[int | None, Count(1, 2**31)] = None
    until: Annotated[datetime | None, Instant()] = None
    revoked: Annotated[bool, Flag()]
