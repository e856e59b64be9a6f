"""`clock`, and what the other commands say while the server's clock is behind its own records."""

import json
import lzma
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.support import cast
from tests.support.terminal import Terminal

SetClock = Callable[[datetime | str], None]
OLD_KITCHEN = Path(__file__).parent.parent / "register" / "old_kitchen.sqlite3.xz"
BEHIND = "the clock of this server is behind its own records, by 2 h"


@pytest.fixture
def behind(kitchen: Terminal, set_clock: SetClock) -> Terminal:
    """A terminal at a kitchen that was set up at noon, on a server whose clock went back by two hours since."""
    set_clock("10:00")
    return kitchen


def newest(terminal: Terminal) -> dict[str, Any]:
    with terminal.app.extensions["database"].engine.connect() as connection:
        body = connection.exec_driver_sql("SELECT body FROM entries ORDER BY seq DESC LIMIT 1").scalar()
    entry: dict[str, Any] = json.loads(bytes(body))
    return entry


@pytest.mark.parametrize(
    "command",
    [
        ("person", "S1", "kim", "Kim Cook", "--role", "cook"),
        ("password", "S1", "pat"),
        ("equipment", "S1", "oven", "east"),
        ("token", "S1", "pat"),
        ("token", "S1", "--tablet", "A"),
        ("plan", "S1", "--login", "pat", "--set", "grace_min=10"),
        ("sign", "S1", "2026-04-14", "--login", "pat"),
    ],
    ids=" ".join,
)
def test_a_command_that_writes_says_so_in_one_line(behind: Terminal, command: Sequence[str]) -> None:
    before, needs = newest(behind), command[0] in ("person", "password", "plan", "sign")
    more = ("--password-file", behind.password) if needs else ()
    assert BEHIND in behind.fail(*command, *more)
    assert newest(behind) == before


def test_the_clock_is_accepted_for_a_reason_and_entries_can_be_kept_again(behind: Terminal) -> None:
    said = behind.run("clock", "S1", "--reason", "battery flat, two hours ahead").stdout
    assert said == "S1: the clock of this server is accepted; entries can be kept again.\n"
    entry = newest(behind)
    assert (entry["kind"], entry["was"], entry["is"]) == (
        "clock_set",
        "2026-04-14T17:00:00.000Z",
        "2026-04-14T15:00:00.000Z",
    )
    behind.run("equipment", "S1", "oven", "east")
    assert newest(behind)["recorded_at"] == "2026-04-14T15:00:00.000Z"


def test_verify_prints_every_accepted_clock(behind: Terminal, set_clock: SetClock) -> None:
    behind.run("clock", "S1", "--reason", "battery flat")
    set_clock(cast.moment("10:00") - timedelta(minutes=15))
    behind.run("clock", "S1", "--reason", "still flat")
    first, second, chain = behind.run("verify").stdout.splitlines()
    day, went = "Tue 14 April 2026", "the server's clock went back by"
    assert first == f"S1: entry 6: {went} 2 h, from {day}, 12:00 CDT to {day}, 10:00 CDT, battery flat"
    assert second == f"S1: entry 7: {went} 15 min, from {day}, 10:00 CDT to {day}, 09:45 CDT, still flat"
    assert chain.startswith("S1: 7 entries, unbroken")


@pytest.mark.parametrize("back_s", [-3600, 0, 5])
def test_a_clock_that_is_not_behind_is_not_accepted(kitchen: Terminal, set_clock: SetClock, back_s: int) -> None:
    set_clock(cast.moment("12:00") - timedelta(seconds=back_s))
    before = newest(kitchen)
    assert "is not behind the records" in kitchen.fail("clock", "S1", "--reason", "in case")
    assert newest(kitchen) == before


def test_a_clock_is_not_accepted_without_a_reason(behind: Terminal) -> None:
    assert "--reason" in behind.fail("clock", "S1", exit_code=2)
    assert "this is needed" in behind.fail("clock", "S1", "--reason", " ")


def test_a_clock_is_accepted_for_a_kitchen_that_is_there(behind: Terminal) -> None:
    assert "S9" in behind.fail("clock", "S9", "--reason", "battery flat")


def test_one_kitchens_clock_says_nothing_of_anothers(behind: Terminal) -> None:
    behind.run("clock", "S1", "--reason", "battery flat")
    behind.init("S2")
    behind.run("equipment", "S2", "oven", "east")
    assert [line[:9] for line in behind.run("verify").stdout.splitlines()] == ["S1: entry", "S1: 6 ent", "S2: 6 ent"]


def test_what_reads_or_makes_anew_asks_for_no_clock(behind: Terminal) -> None:
    behind.run("verify")
    behind.run("rebuild", "S1")
    behind.run("plan", "S1")
    behind.run("backup", str(behind.folder / "copy"))


def test_an_older_backup_is_restored_and_waits_for_the_clock_to_be_upgraded(
    terminal: Terminal, set_clock: SetClock
) -> None:
    """The register of a database of an older edition is written down when it is upgraded: that is an append too."""
    set_clock(cast.OPENED)
    file = terminal.folder / "old"
    file.write_bytes(lzma.decompress(OLD_KITCHEN.read_bytes()))
    assert "is restored, but the clock of this server is behind its own records." in terminal.fail("restore", str(file))
    assert "the clock of this server is behind its own records" in terminal.fail("upgrade")
    terminal.run("clock", "S1", "--reason", "battery flat")
    assert "Run rebuild." in terminal.fail("verify")  # as long as the ledger says nothing of the register
    terminal.run("upgrade")
    assert "the server's clock went back by" in terminal.run("verify").stdout


def test_the_health_check_says_why_no_entry_could_be_kept(behind: Terminal, set_clock: SetClock) -> None:
    answer = behind.app.test_client().get("/healthz")
    assert (answer.status_code, BEHIND in answer.text, answer.mimetype) == (503, True, "text/plain")
    set_clock("11:59:55")
    assert behind.app.test_client().get("/healthz").status_code == 200
    set_clock("10:00")
    behind.run("clock", "S1", "--reason", "battery flat")
    assert behind.app.test_client().get("/healthz").status_code == 200
