"""The diary of a day: what was seen when, by whom, and when it was written down."""

import json
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import groupby
from typing import Any

from app import ledger
from app.db import Database

from .calendar import DemoDay
from .kitchen import SETTINGS, SITE, adopt_plan, caller

_SIGNED_IN = ("release",)
"""What nobody writes through a tablet's own credential."""

_NAMESPACE = uuid.uuid5(uuid.NAMESPACE_URL, "urn:roast-ledger:demo")


Page = tuple[datetime, str, dict[str, Any]]
"""When an entry was written down, by whom, and what."""


class NotKept(RuntimeError):
    """The ledger refused an entry of the demo: the story has a hole."""


@dataclass
class Diary:
    """Entries of one day, in the order they were told."""

    day: DemoDay
    pages: list[tuple[datetime, str, dict[str, Any]]] = field(default_factory=list)

    def write(self, kind: str, clock: str | datetime, **fields: Any) -> dict[str, Any]:
        """Note an entry seen at a time of day and written down a moment, or `late` minutes, after; give its draft.

        `by` and `late` aside, the fields are the entry's own.
        """
        by, late = fields.pop("by"), fields.pop("late", 0)
        seen_at = self.day.at(clock) if isinstance(clock, str) else clock
        own_id = str(uuid.uuid5(_NAMESPACE, f"{self.day.back} {len(self.pages)}"))
        draft = {"id": own_id, "kind": kind, "observed_at": seen_at.isoformat(), **fields}
        self.pages.append((seen_at + timedelta(minutes=late, seconds=20), by, draft))
        return draft

    def mend(self, draft: dict[str, Any], clock: str, reason: str, *, by: str, **changes: Any) -> None:
        """Note that an earlier entry was mended at a time of day."""
        again = {**draft, **changes, "amends": draft["id"], "amend_reason": reason}
        written_at = self.day.at(clock)
        again["id"] = str(uuid.uuid5(_NAMESPACE, f"{self.day.back} {len(self.pages)}"))
        self.pages.append((written_at, by, again))

    def adopt(self, clock: str, *, by: str, **settings: str) -> None:
        """Note that a plan with other settings was adopted at a time of day."""
        self.pages.append((self.day.at(clock), by, {"kind": "plan_adopted", "settings": {**SETTINGS, **settings}}))

    def keep(self, database: Database) -> None:
        """Append everything in the order it was written down. Raises NotKept."""
        self.pages.sort(key=lambda page: page[0])
        with database.writing() as session:
            for (written_at, by), drafts in _together(self.pages):
                if drafts[0]["kind"] == "plan_adopted":
                    adopt_plan(session, drafts[0]["settings"], by=by, at=written_at)
                    continue
                on_tablet = all(draft["kind"] not in _SIGNED_IN for draft in drafts)
                results = ledger.append(session, SITE, drafts, by=caller(by, on_tablet=on_tablet), at=written_at)
                for draft, result in zip(drafts, results, strict=True):
                    if result.status == "rejected":
                        raise NotKept(f"{self.day.day}: {json.dumps(draft)}: {result.errors}")
        self.pages.clear()


def _together(
    pages: list[tuple[datetime, str, dict[str, Any]]],
) -> Iterator[tuple[tuple[datetime, str], list[dict[str, Any]]]]:
    for key, group in groupby(pages, key=lambda page: page[:2]):
        yield key, [draft for _, _, draft in group]


def in_charge_on(day: DemoDay) -> tuple[str, str]:
    """Give who is in charge on a day, and who cooks most of it."""
    return ("ines", "wren") if day.back % 3 else ("dov", "tomas")
