"""Ledgers at random: a diary posted in portions, some of what is found in it answered, and what an assessment says."""

import random
import shutil
import tempfile
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from app import ledger
from app.db import Database
from app.kinds import Entry
from app.rules.day.shown import Assessment
from app.rules.plans.limits import GROUPS
from tests.support import cast
from tests.support.diary import START, Diary
from tests.support.ledger_kitchen import PAT, Kitchen

DISPOSITIONS = ("discard", "discard", "none", "hold_for_evaluation", "reheat", "chill", "already_out")
"""What is said to become of the food; of what is still here `already_out` is refused."""


_WHENEVER_WRITTEN = tuple(group for group in GROUPS if group not in ("lateness", "checklists"))
"""Groups whose findings do not rest on when entries were written."""


@contextmanager
def fresh_kitchen(template: Path) -> Iterator[Kitchen]:
    """Give kitchen S1 on a SQLite file of its own: Hypothesis needs many within one test."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ledger.sqlite3"
        shutil.copyfile(template, path)
        database = Database(f"sqlite:///{path}")
        with database.writing() as session:
            cast.make_site(session, settings={"controls": ",".join(_WHENEVER_WRITTEN)})
        yield Kitchen(database)
        database.engine.dispose()


def seen_at(draft: dict[str, Any]) -> datetime:
    return datetime.fromisoformat(draft["observed_at"]).astimezone(UTC)


def write_down(kitchen: Kitchen, rng: random.Random, entries: int) -> datetime:
    """Post a random diary in portions, answering some of what is found; give when the last was written."""
    *_, last = posted(kitchen, rng, Diary(rng).write(entries))
    return last


def posted(kitchen: Kitchen, rng: random.Random, drafts: list[dict[str, Any]]) -> Iterator[datetime]:
    """Post drafts in portions, answering some of what is found; give after each portion when it was written."""
    now = START
    while drafts:
        size = rng.choice([1, 5, 30])
        portion, drafts = drafts[:size], drafts[size:]
        now = max(now, *map(seen_at, portion))
        kitchen.post(*portion, at=now)
        if rng.random() < 0.2:
            answer(kitchen, rng, now)
        yield now


def answer(kitchen: Kitchen, rng: random.Random, now: datetime) -> None:
    """Answer and verify some findings of a late day, and try to sign it."""
    with kitchen.database.reading() as session:
        day = ledger.today(session, "S1", now) - timedelta(days=rng.choice([0, 1]))
        shown = ledger.head(session, "S1")
    keys = [finding.key for finding in kitchen.assess(day=day, as_of=now).findings]
    some = rng.sample(keys, min(len(keys), 3))
    if some:
        fields = {"findings": some, "disposition": rng.choice(DISPOSITIONS)}
        kitchen.post(entry("corrective_action", now, rng, **fields), at=now)
        kitchen.post(entry("release", now, rng, findings=some[:1]), by=PAT, at=now)
        kitchen.post(entry("action_verified", now, rng, findings=some[:2]), by=PAT, at=now)
    with kitchen.database.writing() as session:
        ledger.sign(session, "S1", day, by=PAT, at=now, shown=shown)


def entry(kind: str, at: datetime, rng: random.Random, **more: Any) -> dict[str, Any]:
    return cast.draft(kind, at=at, id=str(uuid.UUID(int=rng.getrandbits(128))), **more)


def shown(assessment: Assessment) -> dict[str, Any]:
    """Give what an assessment says; of a probe's checks, those before its last pass are of no account."""
    values = {field.name: getattr(assessment, field.name) for field in fields(assessment) if field.compare}
    values["probes"] = [replace(view, checks=()) for view in assessment.probes]
    return {name: plain(value) for name, value in values.items()}


def plain(value: Any) -> Any:
    """Give a value in which entries are their seqs."""
    if isinstance(value, Entry):
        return value.seq
    if isinstance(value, tuple | list):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if hasattr(value, "__dataclass_fields__") and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    return value
