"""Holding what is signed to the ledger: each kept log to its hash, signature and run, the ledger to its witnesses,
certificates to the entries that name them, the plan's documents to their signatures."""

import hashlib
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger
from app.kinds import CertificateSet, LogKept
from app.kinds.values import instant_text
from app.models import Certificate, HeadStamp, KeptPlan, Site

from . import check_logs
from .kept import Kept, kept_logs, read_pdf
from .stamping import imprint_of

_Certificate = tuple[str, str, str]
"""Fingerprint, until when it holds, when it was added."""


@dataclass(frozen=True, slots=True)
class WrongLog:
    """A kept log that is not as it was, or does not say what the ledger says; `details` are the checker's sentences."""

    signed_seq: int
    """Of what is no log (`day` is None): the entry of the stamp, the version of the plan, 0 for a certificate."""
    day: date | None
    reason: str
    """file, entry, gone, certificate, records, join; of what is no log: stamp, plan, or named for a certificate that is
    not as the ledger names it."""
    details: tuple[str, ...] = ()


def check_kept(session: Session, site: str) -> Iterator[WrongLog]:
    """Check everything that is signed of a site, one file at a time; the chain itself is checked elsewhere."""
    logs = sorted(kept_logs(session, site), key=lambda log: log.kept_seq)
    written = {entry["signed_seq"]: entry for entry in _written(session, site)}
    held = _certificates(session, site)
    known = {fingerprint for fingerprint, _until, _added_at in held}
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
    yield from _wrong_certificates(session, site, held)
    yield from _wrong_plans(session, site, known)


def _written(session: Session, site: str) -> list[dict[str, Any]]:
    return list(map(json.loads, ledger.bodies_of_kind(session, site, LogKept.KIND)))


_OF_KEPT = ("seq", "sha256", "covers_seq", "day", "recorded_at")


def _wrong(session: Session, site: str, log: Kept, entry: dict[str, Any] | None, known: set[str]) -> WrongLog | None:
    pdf = read_pdf(session, site, log.signed_seq)
    digest = hashlib.sha256(pdf).hexdigest()
    kept = (log.kept_seq, log.sha256, log.covers_seq, log.day.isoformat(), instant_text(log.made_at))
    if digest != log.sha256:
        return WrongLog(log.signed_seq, log.day, "file")
    if entry is None or kept != tuple(entry[name] for name in _OF_KEPT):
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


def _certificates(session: Session, site: str) -> set[_Certificate]:
    """Give the certificates of a site whose bytes are those of their fingerprint."""
    rows = session.scalars(select(Certificate).join(Site, Site.id == Certificate.site_id).where(Site.code == site))
    return {
        (row.fingerprint, instant_text(row.until), instant_text(row.added_at))
        for row in rows
        if hashlib.sha256(row.der).hexdigest() == row.fingerprint
    }


def _wrong_certificates(session: Session, site: str, held: set[_Certificate]) -> Iterator[WrongLog]:
    """Name the certificates that the ledger does not name, or names otherwise, and those that are gone."""
    entries = map(json.loads, ledger.bodies_of_kind(session, site, CertificateSet.KIND))
    named = {(entry["fingerprint"], entry["until"], entry["recorded_at"]) for entry in entries}
    wrong = {fingerprint for fingerprint, _until, _added_at in named ^ held}
    yield from (WrongLog(0, None, "named", (fingerprint,)) for fingerprint in sorted(wrong))


def _wrong_plans(session: Session, site: str, known: set[str]) -> Iterator[WrongLog]:
    """Name the versions of the plan whose signed document was changed: its signature shows it."""
    of_site = select(KeptPlan).join(Site, Site.id == KeptPlan.site_id).where(Site.code == site)
    for plan in session.scalars(of_site.order_by(KeptPlan.version, KeptPlan.looks, KeptPlan.kitchen)):
        found = check_logs.check_file("", plan.pdf)
        if (found.sha256, found.is_intact) != (plan.sha256, True) or found.fingerprint not in known:
            yield WrongLog(plan.version, None, "plan")
