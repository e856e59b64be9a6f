"""Several processes, and one that is killed: seq has no holes, and nothing is half kept."""

import json
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager

from app import ledger
from app.db import Database
from tests.support import cast, writer
from tests.support.ledger_kitchen import COOK, EVENING, Kitchen


@contextmanager
def started(database: Database, name: str, posts: int, *how: str) -> Iterator[subprocess.Popen[str]]:
    """Give a running writer; it has ended, one way or the other, when the block has."""
    url = database.engine.url.render_as_string(hide_password=False)
    command = [sys.executable, "-m", "tests.support.writer", url, name, str(posts), *how]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        try:
            yield process
        finally:
            process.kill()


def test_writers_at_the_same_time_make_one_chain_without_holes(kitchen: Kitchen) -> None:
    with started(kitchen.database, "one", 15) as one, started(kitchen.database, "other", 15) as other:
        assert [process.wait(timeout=120) for process in (one, other)] == [0, 0]
    entries = [json.loads(line) for line in kitchen.lines()]
    assert [entry["seq"] for entry in entries] == [cast.nth(number) for number in range(1, 2 * 15 * writer.SIZE + 1)]
    assert kitchen.verify() is None
    sent = [[draft["id"] for draft in writer.notes(name, post)] for name in ("one", "other") for post in range(15)]
    kept = [[entry["id"] for entry in entries[start : start + writer.SIZE]] for start in range(0, 600, writer.SIZE)]
    assert sorted(kept) == sorted(sent)


def test_a_writer_killed_before_its_commit_leaves_nothing_behind(kitchen: Kitchen) -> None:
    kitchen.accept(*writer.notes("before", 0))
    before = (kitchen.lines(), kitchen.tables())
    with started(kitchen.database, "killed", 1, "stall") as process:
        assert process.stdout is not None
        assert process.stdout.readline() == "written\n"
        process.kill()
        assert process.wait(timeout=30) == -signal.SIGKILL
    assert (kitchen.lines(), kitchen.tables()) == before
    assert kitchen.verify() is None
    with kitchen.database.writing() as session:
        results = ledger.append(session, "S1", writer.notes("killed", 0), by=COOK, at=EVENING)
    assert [(result.status, result.seq) for result in results] == [
        ("accepted", cast.nth(21 + number)) for number in range(20)
    ]


def test_writers_killed_at_any_moment_leave_whole_lists(kitchen: Kitchen) -> None:
    for turn in range(3):
        known = len(kitchen.lines())
        with started(kitchen.database, f"turn {turn}", 10**6) as process:
            while len(kitchen.lines()) < known + 3 * writer.SIZE:
                assert process.poll() is None
        assert len(kitchen.lines()) % writer.SIZE == 0
        assert kitchen.verify() is None
