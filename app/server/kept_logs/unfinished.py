"""What was asked for when a day was signed and went wrong at its last try: told to whoever can mend it."""

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from app import ledger
from app.models import Job

from .. import jobs
from .certificates import SigningRefused
from .keeping import owed

_REFUSED = f"{SigningRefused.__name__}: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfinished:
    """A sign-off of which the log is not written, or the head not stamped. The signature itself stands."""

    day: date
    signed_seq: int
    is_log: bool
    """Whether the log is what is missing; else it is the stamp of the time-stamp service."""
    why: str
    """In words, with what to do, where that is known; else empty, and the server's own messages say more."""
    next_try: datetime


def unfinished(session: Session, site: str) -> Sequence[Unfinished]:
    """Give what failed at its last try and waits for the next one, the oldest sign-off first."""
    failed = [(job, json.loads(job.payload)) for job in jobs.failures(session, "keep_log", "stamp_head")]
    of_site = [(job, about["signed_seq"]) for job, about in failed if about["site"] == site]
    if not of_site:
        return ()
    days = {entry.seq: entry.day for entry in ledger.sign_offs(session, site)}
    without_log = set(owed(session, site))
    return [
        _unfinished(job, days[seq], seq)
        for job, seq in sorted(of_site, key=lambda one: (one[1], one[0].kind))
        if job.kind != "keep_log" or seq in without_log
    ]


def _unfinished(job: Job, day: date, seq: int) -> Unfinished:
    error = job.error or ""
    why = error.removeprefix(_REFUSED) if error.startswith(_REFUSED) else ""
    return Unfinished(day=day, signed_seq=seq, is_log=job.kind == "keep_log", why=why, next_try=job.due_at)
