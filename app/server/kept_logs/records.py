"""`records.json`, the attachment of a log: an unbroken run of entries, and apart from it what earlier logs proved.

docs/ledger-format.md describes it for whoever checks a log without this program.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

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
        """Give the head by which an entry was proved."""
        return min(log.covers_seq for log in self.logs if log.covers_seq >= seq)


def records_json(
    session: Session, assessment: Assessment, *, head: Head, proved: Proved, sign_off: int | None = None
) -> str:
    """Write what is attached to the log of a day over a head: as signed by the entry `sign_off`, or by nobody."""
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
    parts = [f"{json.dumps(name)}: {json.dumps(value, sort_keys=True)}" for name, value in about.items()]
    if sign_off is not None:
        parts.append(f'"sign_off": {next(ledger.hashed_lines(session, site, [sign_off]))}')
    parts.append(f'"run": {_run(session, site, after, head)}')
    parts.append(f'"earlier": [{_earlier(session, site, wanted, proved)}]')
    return "{\n" + ",\n".join(parts) + "\n}\n"


def _head(seq: int, digest: str | None) -> dict[str, object]:
    return {"seq": seq, "hash": digest}


def _run(session: Session, site: str, after: int, head: Head) -> str:
    begins = json.dumps(_head(after, ledger.hash_at(session, site, after)))
    entries = _lines(ledger.hashed_lines(session, site, range(after + 1, head[0] + 1)))
    return f'{{"after": {begins}, "entries": [{entries}]}}'


def _earlier(session: Session, site: str, seqs: Iterable[int], proved: Proved) -> str:
    by_head: dict[int, list[int]] = {}
    for seq in sorted(seqs):
        by_head.setdefault(proved.by(seq), []).append(seq)
    return ",\n".join(
        f'{{"proved_by": {json.dumps(_head(head, ledger.hash_at(session, site, head)))}, '
        f'"entries": [{_lines(ledger.hashed_lines(session, site, of_head))}]}}'
        for head, of_head in by_head.items()
    )


def _lines(lines: Iterable[str]) -> str:
    text = ",\n".join(lines)
    return f"\n{text}\n" if text else ""
