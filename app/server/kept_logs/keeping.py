"""Signing a day, and keeping its log: drawn from what was signed, signed, and written down in the ledger, once."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app import ledger, logs
from app.models import KeptLog, Site

from .. import get_database
from ..jobs import ask, job
from ..site_lock import changing
from . import mailing, witnesses
from .certificates import Identity, identity_of, sha256
from .kept import Kept, kept_logs
from .records import Proved, records_json
from .signing import sign_as

_TRIES = 5
"""How often a log is drawn anew because another one was kept meanwhile."""


def sign_day(
    session: Session, site: str, day: date, *, by: ledger.Caller, at: datetime, shown: tuple[int, str]
) -> ledger.Result:
    """Sign a day as `ledger.sign` does, and ask for its log in the same transaction."""
    result = ledger.sign(session, site, day, by=by, at=at, shown=shown)
    if result.seq is not None:
        ask_for_log(session, site, result.seq, at=at)
    return result


def ask_for_log(session: Session, site: str, signed_seq: int, *, at: datetime) -> None:
    """Ask for the log of a sign-off, unless it was asked for already."""
    ask(session, "keep_log", f"{site}:{signed_seq}", {"site": site, "signed_seq": signed_seq}, at=at)


@job("keep_log", lane="drawing")
def _keep_log(payload: Mapping[str, Any], at: datetime) -> None:
    keep(payload["site"], payload["signed_seq"], at=at)


def keep(site: str, signed_seq: int, *, at: datetime) -> Kept:
    """Make and keep the log of a sign-off; where it is kept already, give it.

    Drawn and signed without the kitchen's lock: nobody who writes down a reading waits for it. Raises LookupError where
    the entry is no sign-off, and SigningRefused.
    """
    identity = identity_of(site, at=at)
    for _try in range(_TRIES):
        with get_database().reading() as session:
            known = kept_logs(session, site)
            if found := _of(known, signed_seq):
                return found
            proved = Proved(known)
            signed, pdf = _drawn(session, site, signed_seq, proved, identity)
        if (kept := _written(site, signed, sign_as(identity, pdf), proved, identity)) is not None:
            return kept
    raise RuntimeError(f"other logs of {site} were kept each time that of entry {signed_seq} was drawn")


def _of(known: Sequence[Kept], signed_seq: int) -> Kept | None:
    return next((log for log in known if log.signed_seq == signed_seq), None)


def _drawn(
    session: Session, site: str, signed_seq: int, proved: Proved, identity: Identity
) -> tuple[ledger.SignedDay, bytes]:
    signed = ledger.signed_day(session, site, signed_seq)
    head = (signed.sign_off.covers_seq, signed.sign_off.covers_hash)
    with records_json(session, signed.assessment, head=head, proved=proved, sign_off=signed_seq) as records:
        pdf = logs.write_log(signed.assessment, head=head, records=records, certificate=identity.fingerprint)
    return signed, pdf


def _written(site: str, signed: ledger.SignedDay, pdf: bytes, proved: Proved, identity: Identity) -> Kept | None:
    """Keep a file and write its hash down; None where another log was kept since it was drawn."""
    sign_off = signed.sign_off
    with changing(site) as (session, row, now):
        known = kept_logs(session, site)
        if found := _of(known, sign_off.seq):
            return found
        if Proved(known).seq != proved.seq:
            return None
        about = {"day": sign_off.day.isoformat(), "signed_seq": sign_off.seq, "covers_seq": sign_off.covers_seq}
        digest = sha256(pdf)
        fields = {**about, "sha256": digest, "certificate": identity.fingerprint}
        made_at = ledger.append_changes(session, site, [ledger.Change("log_kept", fields)], by=ledger.COMMAND, at=now)
        session.add(
            KeptLog(
                site_id=row.id,
                signed_seq=sign_off.seq,
                day=sign_off.day,
                covers_seq=sign_off.covers_seq,
                after_seq=min(proved.seq, sign_off.covers_seq),
                kept_seq=ledger.head(session, site)[0],
                sha256=digest,
                made_at=made_at,
                pdf=pdf,
            )
        )
        witnesses.ask_for_witnesses(session, site, sign_off.seq, at=now)
        mailing.ask_for_mails(session, site, sign_off.seq, at=now)
        return _of(kept_logs(session, site), sign_off.seq)


def owed(session: Session, site: str) -> list[int]:
    """Give the sign-offs of a site that have no kept log yet, by seq."""
    query = select(KeptLog.signed_seq).join(Site).where(Site.code == site)
    known = set(session.scalars(query))
    return [entry.seq for entry in ledger.sign_offs(session, site) if entry.seq not in known]
