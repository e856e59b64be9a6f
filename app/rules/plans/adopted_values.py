"""What an adopted plan holds, written out: every value with its source, so that no later edition changes it."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from .limits import GROUPS, Limits, TablePair, TemperatureLimit
from .settings import SETTINGS, parse_setting

if TYPE_CHECKING:
    from .plan import Plan

Dispositions = Mapping[str, Mapping[Any, tuple[str, ...]]]
"""Rule → verdict → what may become of the food."""


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where a value comes from: `kind` is law, model_code, guidance or house; `house_set` where the site set it."""

    source: str
    kind: str
    since: date
    house_set: bool = False


FIRST_BAND = "under_2h"


@dataclass(frozen=True, slots=True)
class Band:
    """One band of the 2-hour/4-hour rule: what may become of the food, and where birds may go."""

    dispositions: tuple[str, ...]
    ways_out: tuple[str, ...]


Own = tuple[Limits, Mapping[str, Provenance]]
"""Limits and where each comes from."""


def values_of(plan: "Plan", own: Own, dispositions: Dispositions) -> dict[str, Any]:
    """Write a plan out: limits by name, each with its source and, where the site set it, what the code itself gives.

    `own` is the code with nothing set on top; `dispositions` are those of every rule.
    """
    return {
        **{name: _limit_values(plan, own, name) for name in SETTINGS},
        "title": plan.title,
        "kind": plan.kind,
        "second_stage": plan.second_stage,
        "periods_out": plan.periods_out,
        "dispositions": {rule: _lists(of_rule) for rule, of_rule in dispositions.items()}
        | {rule: _lists(of_rule) for rule, of_rule in plan.dispositions.items()},
        "bands": {
            name: {"dispositions": list(band.dispositions), "ways_out": list(band.ways_out)}
            for name, band in plan.bands.items()
        },
    }


def as_text(values: Mapping[str, Any]) -> str:
    """Give `values` as text that is the same for the same values."""
    return json.dumps(values, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _lists(of_rule: Mapping[str, tuple[str, ...]]) -> dict[str, list[str]]:
    return {str(verdict): list(names) for verdict, names in of_rule.items()}


def _limit_values(plan: "Plan", own: Own, name: str) -> dict[str, Any]:
    written = _value((plan.limits, plan.sources), name)
    if plan.sources[name] != own[1][name]:
        written["code"] = _value(own, name)
    return written


def _value(held: Own, name: str) -> dict[str, Any]:
    source = held[1][name]
    text = setting_text(getattr(held[0], name))
    fields = {"value": text, "source": source.source, "kind": source.kind, "from": source.since.isoformat()}
    return fields | ({"set": True} if source.house_set else {})


@dataclass(frozen=True, slots=True)
class Written:
    """What `values` say, read back."""

    title: str
    kind: str
    second_stage: str
    periods_out: str
    limits: Limits
    sources: Mapping[str, Provenance]
    dispositions: Dispositions
    bands: Mapping[str, Band]


def read_values(text: str, otherwise: Own) -> Written:
    """Read `values` back; a setting that the program did not have when they were written is taken from `otherwise`."""
    values = json.loads(text)
    there = [name for name in SETTINGS if name in values]
    limits = {name: getattr(otherwise[0], name) for name in SETTINGS}
    limits |= {name: _read_limit(name, values[name]["value"]) for name in there}
    sources = {name: _provenance(values[name]) if name in there else otherwise[1][name] for name in SETTINGS}
    return Written(
        title=values["title"],
        kind=values["kind"],
        second_stage=values["second_stage"],
        periods_out=values["periods_out"],
        limits=Limits(**limits),
        sources=MappingProxyType(sources),
        dispositions=MappingProxyType(
            {
                rule: MappingProxyType({verdict: tuple(names) for verdict, names in of_rule.items()})
                for rule, of_rule in values["dispositions"].items()
            }
        ),
        bands=MappingProxyType(
            {name: Band(tuple(band["dispositions"]), tuple(band["ways_out"])) for name, band in values["bands"].items()}
        ),
    )


def controls_of_code(text: str) -> frozenset[str]:
    """Give the groups of rules that the code itself asked for when `values` were written."""
    held = json.loads(text)["controls"]
    return frozenset(held.get("code", held)["value"].split(","))


def value_of_code(text: str, name: str) -> tuple[Any, Provenance] | None:
    """Give what the code itself said of a setting when `values` were written; None where the plan says the same."""
    of_code = json.loads(text).get(name, {}).get("code")
    return (_read_limit(name, of_code["value"]), _provenance(of_code)) if of_code else None


def _read_limit(name: str, text: str) -> Any:
    if name == "controls":
        # Groups of another edition are kept as they are named; this one asks only for those it knows.
        return frozenset(filter(None, text.split(",")))
    return parse_setting(name, text)


def _provenance(fields: Mapping[str, Any]) -> Provenance:
    return Provenance(fields["source"], fields["kind"], date.fromisoformat(fields["from"]), bool(fields.get("set")))


def setting_text(value: Any) -> str:
    """Give a limit the way it is typed as a setting, e.g. `165F/74C`, `04:00`, `breast,thigh`."""
    if isinstance(value, TemperatureLimit):
        return f"{_plain(value.F)}F/{_plain(value.C)}C"
    if isinstance(value, Decimal):
        return _plain(value)
    if isinstance(value, time):
        return value.strftime("%H:%M")
    if isinstance(value, frozenset):
        return ",".join(group for group in GROUPS if group in value)
    if isinstance(value, TablePair):
        fat = "" if value.fat_percent is None else f" {_plain(value.fat_percent)}%"
        return f"{value.species} {_plain(value.row_f)}F{fat}"
    if value is None:
        return ""
    return ",".join(value) if isinstance(value, tuple) else str(value)


def _plain(value: Decimal) -> str:
    return f"{value.normalize():f}"


TEXTS = (*("team", "product", "flow", "recipes", "premises", "time_control", "training", "records", "validation"),)
"""The parts of a plan that a kitchen writes itself: only it knows them."""


@dataclass(frozen=True, slots=True)
class Attachment:
    """A file that belongs to a plan; its bytes lie outside the ledger, under their SHA-256."""

    digest: str
    part: str
    """The text of the plan that it belongs to."""
    name: str
    media_type: str
    size: int
    """Bytes."""

    @classmethod
    def of(cls, digest: str, fields: Mapping[str, Any]) -> "Attachment":
        """Read what the entry of an adoption says of it."""
        return cls(digest, str(fields["part"]), str(fields["name"]), str(fields["type"]), int(fields["bytes"]))

    def as_fields(self) -> dict[str, Any]:
        """Give what the entry of an adoption says of it."""
        return {"part": self.part, "name": self.name, "type": self.media_type, "bytes": self.size}


@dataclass(frozen=True, slots=True)
class Adopted:
    """A plan version as the site adopted it: the code's name and the settings on top.

    `values` is the canonical JSON of what it holds, as its entry says; empty where only the code and the settings are
    known, which are resolved by the code's dates then (a code that is looked at before it is adopted).
    """

    version: int
    code: str
    settings: tuple[tuple[str, str], ...]
    adopted_by: str
    adopted_at: datetime
    variance: str | None = None
    authority: str | None = None
    values: str = ""
    loosened: tuple[str, ...] = ()
    """The settings that the variance allows to be looser than the code."""
    items: tuple[tuple[str, str], ...] = ()
    """What the kitchen calls the check items that it made up itself."""
    texts: tuple[tuple[str, str], ...] = ()
    """What the kitchen wrote itself, by the part of the plan."""
    attachments: tuple[Attachment, ...] = ()
