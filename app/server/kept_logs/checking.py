"""Holding kept logs to the ledger: each file to its hash, signature and run, the ledger to its witnesses."""

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.kinds import LogKept
from app.models import HeadStamp, Site

from . import check_logs
from .certificates import certificates_of, fingerprint_of
from .kept import Kept, kept_logs, read_pdf
from .stamping import imprint_of


@dataclass(frozen=True, slots=True)
class WrongLog:
    """A kept log that is not as it was, or does not say what the ledger says; `details` are the checker's sentences."""

    signed_seq: int
    day: date | None
    reason: str
    """file, entry, gone, certificate, records, join or stamp."""
    details: tuple[str, ...] = ()


def check_kept(session: Session, site: str) -> Iterator[WrongLog]:
    """Check every kept log and time stamp of a site, one file at a time; the chain itself is checked elsewhere."""
    logs = sorted(kept_logs(session, site), key=lambda log: log.kept_seq)
    written = {entry["signed_seq"]: entry for entry in _written(session, site)}
    known = {fingerprint_of(one) for one in certificates_of(session, site)}
    proved = 0
    for log in logs:
        wrong = _wrong(session, site, log, written.pop(log.signed_seq, None), known)
        if wrong is None and log.after_seq != min(proved, log.covers_seq):
            wrong = WrongLog(log.signed_seq, log.day, "join")
        if wrong is not None:
            yield wrong
        proved = max(proved, log.covers_seq)
    yield from (WrongLog(seq, date.fromisoformat(entry["day"]), "gone") for seq, entry in written.items())
    yield from _wrong_stamps(session, site)


def _written(session: Session, site: str) -> list[dict[str, Any]]:
    return [json.loads(body) for body in ledger.bodies_of_kind(session, site, LogKept.KIND)]


def _wrong(session: Session, site: str, log: Kept, entry: dict[str, Any] | None, known: set[str]) -> WrongLog | None:
    pdf = read_pdf(session, site, log.signed_seq)
    digest = hashlib.sha256(pdf).hexdigest()
    told = (log.kept_seq, log.sha256, log.covers_seq, log.day.isoformat())
    if digest != log.sha256:
        return WrongLog(log.signed_seq, log.day, "file")
    if entry is None or told != tuple(entry[name] for name in ("seq", "sha256", "covers_seq", "day")):
        return WrongLog(log.signed_seq, log.day, "entry")
    found = check_logs.check_file("", pdf)
    if found.faults:
        return WrongLog(log.signed_seq, log.day, "file", tuple(found.faults))
    if found.fingerprint not in known or found.fingerprint != entry["certificate"]:
        return WrongLog(log.signed_seq, log.day, "certificate")
    others = differing(session, site, [found.head, *((entry["seq"], entry["hash"]) for entry in found.entries)])
    if others:
        return WrongLog(log.signed_seq, log.day, "records", tuple(map(str, others[:20])))
    return None


def differing(session: Session, site: str, said: Iterable[tuple[int, str]]) -> list[int]:
    """Give the entries that the ledger has with another hash than is said of them, or not at all, by seq."""
    pairs = set(said)
    held = ledger.hashes(session, site, {seq for seq, _hash in pairs})
    return sorted({seq for seq, own_hash in pairs if held.get(seq) != own_hash})


def _wrong_stamps(session: Session, site: str) -> Iterator[WrongLog]:
    stamps = select(HeadStamp).join(Site, Site.id == HeadStamp.site_id).where(Site.code == site).order_by(HeadStamp.seq)
    for stamp in session.scalars(stamps):
        body = ledger.body_at(session, site, stamp.seq)
        if body is None or imprint_of(stamp.token) != hashlib.sha256(body).digest():
            yield WrongLog(stamp.seq, None, "stamp")
