"""What signing adds to a PDF of the same bytes: an ordinary day's log, and one whose run has a month in it.

Wanted: at most 150 ms, or 30 % of drawing the same PDF, whichever is more.
"""

import tempfile
import time
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from app import create_app, ledger, logs, schema
from app.db import Database
from app.server import kept_logs
from app.server.kept_logs.records import Proved, records_json
from tests.support import cast
from tests.support.drafts import keep, ordinary_day
from tests.support.kept_days import KeptDays

MONTH = 9_000
"""Entries: a month of 300 a day."""


def main() -> None:
    """Measure both."""
    with tempfile.TemporaryDirectory() as folder:
        for name, before in (("ordinary day", 0), ("a month left unsigned", MONTH)):
            _measure(Path(folder) / f"{before}.db", name, before)


def _measure(file: Path, name: str, before: int) -> None:
    schema.upgrade(f"sqlite:///{file}")
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        cast.make_site(session)
    at = cast.moment("20:00")
    for number in range(before // 1000):
        drafts = [cast.draft("note", at=at - timedelta(days=2), text=f"Note {number}-{each}") for each in range(1000)]
        keep(database, *drafts, at=at - timedelta(days=1))
    keep(database, *ordinary_day(), at="19:00")
    app = create_app({"DATABASE_URL": database.url, "SECRET_KEY": "x", "SIGNING_PASSPHRASE": "x"})
    with app.app_context():
        seq = KeptDays(app).sign(cast.DAY, at=at)
        kept_logs.sign_pdf("S1", _drawn(database, seq), at=at)  # whatever is loaded once
        drawing = min(_seconds(lambda: _drawn(database, seq)) for _ in range(3))
        pdf = _drawn(database, seq)
        signing = min(_seconds(lambda: kept_logs.sign_pdf("S1", pdf, at=at)) for _ in range(5))
    allowed = max(0.150, 0.3 * drawing)
    said = "MET" if signing <= allowed else "NOT_MET"
    told = f"drawing {drawing:.3f} s ({len(pdf):,} bytes), signing {signing:.3f} s more, {allowed:.3f} allowed"
    print(f"{name}: {told}: {said}")


def _drawn(database: Database, seq: int) -> bytes:
    with database.reading() as session:
        day = ledger.signed_day(session, "S1", seq)
        head = (day.sign_off.covers_seq, day.sign_off.covers_hash)
        with records_json(session, day.assessment, head=head, proved=Proved([]), sign_off=seq) as records:
            return logs.write_log(day.assessment, head=head, records=records, certificate="0" * 64)


def _seconds(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


if __name__ == "__main__":
    main()
