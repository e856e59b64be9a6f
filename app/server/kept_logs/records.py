"""`records.json`, the attachment of a log: an unbroken run of entries, and apart from it what earlier logs proved.

docs/ledger-format.md describes it for whoever checks a log without this program.
"""

import json
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import IO

from sqlalchemy.orm import Session

from app import ledger
from app.kinds.values import instant_text
from app.rules.day.shown import Assessment

from .kept import Kept

Head = tuple[int, str]


@dataclass(frozen=True, slots=True)
class Proved:
    """What the kept logs of a site prove together: each a run from the entry after its `after_seq`, end to end."""

    logs: Sequence[Kept]

    @property
    def seq(self) -> int:
        """Up to which entry they do; 0 where there is none."""
        return max((log.covers_seq for log in self.logs), default=0)

    def by(self, seq: int) -> int:
        """Give the head of the one run that an entry is in: a log made late has no run, whatever its head covers."""
        return next(log.covers_seq for log in self.logs if log.after_seq < seq <= log.covers_seq)


@contextmanager
def records_json(
    session: Session, assessment: Assessment, *, head: Head, proved: Proved, sign_off: int | None = None
) -> Iterator[IO[bytes]]:
    """Give a file of what is attached to the log of a day over a head: as signed by the entry `sign_off`, or by nobody.

    On disk: a run that nobody signed for long is large.
    """
    with tempfile.NamedTemporaryFile() as file:
        for text in _written(session, assessment, head, proved, sign_off):
            file.write(text.encode())
        file.seek(0)
        yield file


def _written(
    session: Session, assessment: Assessment, head: Head, proved: Proved, sign_off: int | None
) -> Iterator[str]:
    site = assessment.site.code
    after = min(proved.seq, head[0])
    shown = ledger.shown_seqs(assessment)
    wanted = [seq for seq in {*shown, *ledger.in_force_seqs(session, site, assessment)} if seq <= after]
    about = {
        "v": 1,
        "site": site,
        "day": assessment.day.isoformat(),
        "as_of": instant_text(assessment.as_of),
        "signed": sign_off is not None,
        "head": _head(*head),
        "shows": shown,
    }
    yield "{\n"
    for name, value in about.items():
        yield f"{json.dumps(name)}: {json.dumps(value, sort_keys=True)},\n"
    if sign_off is not None:
        yield f'"sign_off": {next(ledger.hashed_lines(session, site, [sign_off]))},\n'
    yield '"run": '
    yield from _run(session, site, after, head)
    yield ',\n"earlier": ['
    yield from _earlier(session, site, wanted, proved)
    yield "]\n}\n"


def _head(seq: int, digest: str | None) -> dict[str, object]:
    return {"seq": seq, "hash": digest}


def _run(session: Session, site: str, after: int, head: Head) -> Iterator[str]:
    yield f'{{"after": {json.dumps(_head(after, ledger.hash_at(session, site, after)))}, "entries": ['
    yield from _lines(ledger.hashed_lines(session, site, range(after + 1, head[0] + 1)))
    yield "]}"


def _earlier(session: Session, site: str, seqs: Iterable[int], proved: Proved) -> Iterator[str]:
    by_head: dict[int, list[int]] = {}
    for seq in sorted(seqs):
        by_head.setdefault(proved.by(seq), []).append(seq)
    for number, (head, of_head) in enumerate(by_head.items()):
        proved_by = json.dumps(_head(head, ledger.hash_at(session, site, head)))
        yield ",\n" if number else ""
        yield f'{{"proved_by": {proved_by}, "entries": ['
        yield from _lines(ledger.hashed_lines(session, site, of_head))
        yield "]}"


def _lines(lines: Iterable[str]) -> Iterator[str]:
    before = "\n"
    for line in lines:
        yield f"{before}{line}"
        before = ",\n"
    if before != "\n":
        yield "\n"
