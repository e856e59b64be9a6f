"""Making the index and the spans again from the ledger: they are kept for speed and are never the truth."""

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import Connection, select
from sqlalchemy.orm import Session

from app.db import milliseconds

from . import register
from .appending import keeping, writing
from .appending.context import AppendContext
from .checks.callers import Caller
from .figures import day_figures
from .form.drafts import Draft, Former
from .form.typed import Row, typed
from .index import rows
from .index.rows import ENTRY
from .index.subjects import mentions

_AT_A_TIME = 1000
_NOBODY = Caller(login="", name="", role="", via="session")


def rebuild_index(session: Session, code: str, *, at: datetime) -> None:
    """Throw away a site's index and spans and make them again. The session must come from Database.writing().

    What was kept of past days' figures is thrown away too; whoever reads trends next makes it again.
    """
    row = register.get_site_row(session, code, lock=True)
    writing.forget_index(session.connection(), row.id)
    day_figures.forget_figures(session.connection(), row.id)
    fill_index(session, code, at=at)


def fill_index(session: Session, code: str, *, at: datetime) -> None:
    """Make a site's index and spans from its entries, in tables that hold nothing of it yet."""
    site = register.get_site_row(session, code)
    context = AppendContext(session, site, rows.head(session, site), by=_NOBODY, at=at)
    for portion in _portions(context.connection, context.site.id):
        drafts = [_draft(context, row) for row in portion]
        # Only what this portion names stays in memory.
        context.states.clear()
        context.spans.clear()
        context.look_up_subjects(drafts)
        for draft in drafts:
            keeping.index_entry(context, draft, recorded_at=milliseconds(draft.entry.recorded_at))
        context.flush()


def _portions(connection: Connection, site_id: int) -> Iterator[list[Row]]:
    query, seq = select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(ENTRY.site_id == site_id).order_by(ENTRY.seq), 0
    while found := connection.execute(query.where(ENTRY.seq > seq).limit(_AT_A_TIME)).all():
        yield [Row(*row) for row in found]
        seq = found[-1][0]


def _draft(context: AppendContext, row: Row) -> Draft:
    versions = [row]
    if row.seq != row.root_seq:
        versions = [
            *rows.by_seqs(context.connection, context.site.id, [row.root_seq]),
            *rows.amendments_of(context.connection, context.site.id, [row.root_seq]),
        ]
    entries = [entry for entry in typed(versions) if entry.seq <= row.seq]
    entries.sort(key=lambda entry: entry.seq)
    entry = entries[-1]
    former = [Former.of(earlier) for earlier in entries[:-1]]
    return Draft({}, entry, milliseconds(entry.observed_at), mentions(entry), former=former)
