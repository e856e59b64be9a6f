"""Writing rows: the only inserts into the ledger, with the index and the spans kept beside it."""

from collections.abc import Iterable, Sequence
from dataclasses import astuple, dataclass, field
from functools import cache
from typing import Any, cast

from sqlalchemy import Connection, Table, delete, update

from app import models
from app.db import Base, insert_all
from app.kinds import Entry
from app.kinds.form import NONE

from ..form.drafts import Former
from ..index.subjects import Mention

_Values = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Span:
    """From when to when a subject held birds, in milliseconds; the columns of models.SubjectSpan in order."""

    site_id: int
    subject: str
    opened_at: int
    shown_until: int | None
    mended_until: int | None
    opened_seq: int
    last_seq: int


@dataclass(slots=True)
class Pending:
    """Rows that are checked and linked but not yet written: values of the tables' columns, in order."""

    entries: list[_Values] = field(default_factory=list)
    index: list[_Values] = field(default_factory=list)
    spans: dict[str, Span] = field(default_factory=dict)

    def write(self, connection: Connection) -> None:
        """Insert everything, and be empty again."""
        _insert(connection, models.Entry, self.entries)
        _insert(connection, models.EntrySubject, self.index)
        _insert(connection, models.SubjectSpan, [astuple(span) for span in self.spans.values()], replacing=True)
        self.entries, self.index, self.spans = [], [], {}


def index_rows(site_id: int, entry: Entry, mentions: Iterable[Mention], *, at: int) -> list[_Values]:
    """Give the rows of the index that say what an entry names; `at` is when it was seen, in milliseconds."""
    return [(site_id, m.subject, m.role, at, entry.seq, entry.root_seq, m.quarters, m.bird, True) for m in mentions]


def reindex(
    connection: Connection, site_id: int, entry: Entry, *, at: int, named: Sequence[Mention], former: Sequence[Former]
) -> None:
    """Put an amendment or withdrawal into the index: its former versions count no longer, and under every subject that
    any version names stand all versions."""
    before = {mention.subject for version in former for mention in version.named}
    subjects = {mention.subject for mention in named}
    rows = index_rows(site_id, entry, named, at=at)
    rows += [(site_id, subject, NONE, at, entry.seq, entry.root_seq, 0, 0, True) for subject in before - subjects]
    rows += [
        (site_id, subject, NONE, version.at, version.seq, entry.root_seq, 0, 0, False)
        for subject in subjects - before
        for version in former
    ]
    connection.execute(
        update(models.EntrySubject)
        .where(
            models.EntrySubject.site_id == site_id,
            models.EntrySubject.subject.in_(before),
            models.EntrySubject.seq.in_([version.seq for version in former]),
        )
        .values(newest=False)
    )
    _insert(connection, models.EntrySubject, rows)


def forget_index(connection: Connection, site_id: int) -> None:
    """Throw away the index and the spans of a site: they can be made again from the ledger."""
    for model in (models.EntrySubject, models.SubjectSpan):
        connection.execute(delete(model).where(model.site_id == site_id))


def _insert(connection: Connection, model: type[Base], rows: Sequence[_Values], *, replacing: bool = False) -> None:
    # Plain tuples handed to the driver: a thousand rows this way cost a third of what they cost through the ORM.
    if rows:
        table = cast(Table, model.__table__)
        insert_all(connection, _insertion(table, connection.dialect.paramstyle, replacing), rows)


@cache
def _insertion(table: Table, paramstyle: str, replacing: bool) -> str:
    names = [column.name for column in table.columns]
    values = ", ".join(["?" if paramstyle == "qmark" else "%s"] * len(names))
    words = ["INSERT INTO", table.name, f"({', '.join(names)})", "VALUES", f"({values})"]
    if replacing:
        keys = [column.name for column in table.primary_key]
        changed = [f"{name} = excluded.{name}" for name in names if name not in keys]
        words += ["ON CONFLICT", f"({', '.join(keys)})", "DO UPDATE SET", ", ".join(changed)]
    return " ".join(words)
