"""Guessing ends: failures are counted in the database by what was tried, whichever process was asked.

A few failures are free; then each asks for a longer wait, up to 15 minutes; a password or PIN stops altogether at 50
in a row until somebody sets a new one (NIST SP 800-63B (2017), 5.2.2 allows 100). Where only the sender is known (a
wrong token), the wait grows and ends by itself: nobody can lock a kitchen out.
"""

import hashlib
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from app.models import Throttle

FREE_FAILURES = {"login": 5, "pin": 5}
"""By what a key starts with; anything else (a sender's address) has more, for a kitchen shares one address."""
FREE_FOR_SENDERS = 20
LAST_FAILURE = 50
LONGEST_WAIT_S = 900
FORGOTTEN_AFTER = timedelta(days=1)
"""How long the failures of a sender's address are remembered after the last one."""
REMOVED_AFTER = timedelta(days=90)
"""How long those of a login are, if no success ends them before."""
NEVER_S = 10 * 365 * 86400


def throttle_key(kind: str, *parts: object) -> str:
    """Give the key of what was tried, e.g. `throttle_key("login", site.id, login)`; long ones as a digest."""
    tail = "\x1f".join(str(part) for part in parts)
    if len(tail) > 64 or not (tail.isascii() and tail.isprintable()):
        tail = hashlib.sha256(tail.encode("utf-8", "surrogatepass")).hexdigest()
    return f"{kind}:{tail}"


def wait_s(session: Session, key: str, at: datetime) -> int:
    """Give how many seconds until the next try is heard; 0 is now, NEVER_S is when a new password is set."""
    row = session.get(Throttle, key)
    if row is None or _is_forgotten(row, at):
        return 0
    if _has_end(key) and row.failures >= LAST_FAILURE:
        return NEVER_S
    over = row.failures - FREE_FAILURES.get(_kind(key), FREE_FOR_SENDERS)
    if over < 0:
        return 0
    wait = timedelta(seconds=min(2 ** min(over + 1, 16), LONGEST_WAIT_S))
    since = max(at - row.last_at, timedelta())  # a clock that was put back makes nobody wait longer
    return max(0, -((since - wait) // timedelta(seconds=1)))


def is_blocked(session: Session, key: str, at: datetime) -> bool:
    """Whether the next try has to wait."""
    return wait_s(session, key, at) > 0


def record_failure(session: Session, key: str, at: datetime) -> None:
    """Count one failure more."""
    # Kept small, whatever names and addresses somebody makes up.
    session.execute(delete(Throttle).where(Throttle.last_at < at - REMOVED_AFTER))
    row = _counted(session, key, at)
    if _is_forgotten(row, at):
        row.failures, row.first_at = 0, at
    row.failures, row.last_at = row.failures + 1, at
    session.flush()


def record_success(session: Session, key: str) -> None:
    """Forget the failures: they were somebody mistyping."""
    session.execute(delete(Throttle).where(Throttle.key == key))


def spend(session: Session, key: str, at: datetime, *, a_minute: int) -> bool:
    """Count one use; False when the minute's allowance is used up. Keys start with `use:`."""
    row = _counted(session, key, at)
    if not timedelta() <= at - row.first_at < timedelta(minutes=1):
        row.failures, row.first_at = 0, at
    if row.failures >= a_minute:
        return False
    row.failures, row.last_at = row.failures + 1, at
    session.flush()
    return True


def _counted(session: Session, key: str, at: datetime) -> Throttle:
    """Give the row of a key, held until the transaction ends; two processes may both be the first to want it."""
    insert = postgresql.insert if session.get_bind().dialect.name == "postgresql" else sqlite.insert
    new = insert(Throttle).values(key=key, failures=0, first_at=at, last_at=at)
    session.execute(new.on_conflict_do_nothing())
    return session.get_one(Throttle, key, with_for_update=True, populate_existing=True)


def _kind(key: str) -> str:
    return key.partition(":")[0]


def _has_end(key: str) -> bool:
    return _kind(key) in FREE_FAILURES


def _is_forgotten(row: Throttle, at: datetime) -> bool:
    return not _has_end(row.key) and at - row.last_at >= FORGOTTEN_AFTER
