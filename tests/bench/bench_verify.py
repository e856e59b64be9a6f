"""How quick `verify` is beside a bare loop that fetches the same rows and hashes their bytes, and whether memory stays.

Both fetch the same columns. Times are those of the processor: all of it happens in this process. Wanted: at least 30 %
of the bare loop's entries a second, and the same memory however long the ledger is.
"""

import hashlib
import resource
import shutil
import sqlite3
import tempfile
import time
from datetime import timedelta
from pathlib import Path

from sqlalchemy import BigInteger, select, type_coerce

from app import ledger, models, schema
from app.db import Database
from tests.support import cast

ENTRIES = 60_000
WANTED = 0.30


def main() -> None:
    """Make a ledger of notes and readings, and measure."""
    folder = Path(tempfile.mkdtemp())
    try:
        database = _made(folder / "ledger.db")
        with database.reading() as session:
            ledger.verify(session, "S1")
        quarter = _peak_mib()
        bare, ours = min(_bare(database) for _ in range(3)), min(_ours(database) for _ in range(3))
        share = bare / ours
        print(f"bare loop {ENTRIES / bare:,.0f} entries/s, verify {ENTRIES / ours:,.0f} entries/s: {share:.0%}")
        print(f"memory at its peak: {quarter:.0f} MiB after the first walk, {_peak_mib():.0f} MiB after the last")
        print("MET" if share >= WANTED else f"NOT_MET: wanted {WANTED:.0%}")
    finally:
        shutil.rmtree(folder)


def _made(file: Path) -> Database:
    schema.upgrade(f"sqlite:///{file}")
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        cast.make_site(session)
    cook, at = ledger.Caller("cook", "Casey Cook", "cook", "token:1"), cast.moment("12:00")
    for number in range(ENTRIES // 1000):
        now = at + timedelta(minutes=number)
        drafts = [cast.draft("note", at=now, text=f"Note {number}-{each} of a long day") for each in range(1000)]
        with database.writing() as session:
            ledger.append(session, "S1", drafts, by=cook, at=now)
    with sqlite3.connect(file) as connection:
        connection.execute("ANALYZE")
    return database


def _bare(database: Database) -> float:
    """Fetch all rows, as many at a time as verify does, and hash their bytes."""
    started, seq = time.process_time(), 0
    columns = models.Entry.__table__.c
    moments = [type_coerce(columns[name], BigInteger) for name in ("observed_at", "recorded_at")]
    others = [columns[name] for name in ("root_seq", "id", "kind", "person", "previous_hash")]
    query = select(columns.seq, columns.hash, columns.body, *moments, *others).order_by(columns.seq)
    with database.reading() as session:
        while rows := session.execute(query.where(columns.site_id == 1, columns.seq > seq).limit(2000)).all():
            for _seq, own_hash, body, *_others in rows:
                assert hashlib.sha256(body).hexdigest() == own_hash
            seq = rows[-1][0]
    return time.process_time() - started


def _ours(database: Database) -> float:
    started = time.process_time()
    with database.reading() as session:
        assert ledger.verify(session, "S1") is None
    return time.process_time() - started


def _peak_mib() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
