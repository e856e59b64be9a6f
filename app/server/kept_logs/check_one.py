"""A process of its own that looks at one file that anybody sent: bounded in memory and time, whatever is in it.

    python check_one.py FINGERPRINT… < LOG.pdf

It prints an `Answer` as JSON. A few bytes may unpack to more than a machine has, and a file may be made to be read for
ever: the system ends this process then, and not the server.
"""

import json
import os
import resource
import sys
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from .check_logs import Log

MEMORY = 1024 * 1024 * 1024
"""Bytes."""
PROCESSOR_S = 20

_MOST_FAULTS = 20
_MOST_LETTERS = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the server is told of a file. It is as small as its maker can make it large."""

    faults: list[str]
    fingerprint: str
    is_intact: bool
    signed_at: str | None
    """ISO 8601, as `stamped_at`."""
    stamped_at: str | None
    site: str = ""
    day: str = ""
    head: tuple[int, str] | None = None
    entries: tuple[tuple[int, str], ...] = ()
    """Seq and hash of everything that is attached, and of the head. Like site, day and head only of a log without a
    fault that was signed by one of the certificates asked about: of others nothing is to be believed."""


def main() -> None:
    """Look at what comes in."""
    os.nice(10)  # whoever writes down a reading goes first
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (PROCESSOR_S, PROCESSOR_S))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    # Run as a file: behind Python's own and the libraries, so that no name here takes the place of one of theirs.
    sys.path.append(str(Path(__file__).parent))
    import check_logs  # type: ignore[import-not-found]  # beside this file

    print(tell(check_logs.check_file("", sys.stdin.buffer.read()), sys.argv[1:]), end="")


def tell(log: "Log", certificates: Sequence[str]) -> str:
    """Say as JSON what the server is told of a log, given the fingerprints of the certificates that sign here."""
    records: dict[str, Any] = {}
    if log.records and not log.faults and log.is_intact and log.fingerprint in certificates:
        entries = sorted({log.head, *((entry["seq"], entry["hash"]) for entry in log.entries)})
        records = {"site": log.records["site"], "day": log.records["day"], "head": log.head, "entries": entries}
    answer = Answer(
        faults=[fault[:_MOST_LETTERS] for fault in log.faults[:_MOST_FAULTS]],
        fingerprint=log.fingerprint,
        is_intact=log.is_intact,
        signed_at=log.signed_at.isoformat() if log.signed_at else None,
        stamped_at=log.stamped_at.isoformat() if log.stamped_at else None,
        **records,
    )
    return json.dumps(asdict(answer))


if __name__ == "__main__":
    main()
