"""Guessing ends: failures are counted in the database by what was tried and from where, whichever process was asked.

A few failures are free; then each asks for a longer wait, up to 15 minutes; a password or PIN stops altogether at 50
in a row from one place, and at 100 from all unknown places together, until somebody sets a new one (NIST SP 800-63B-4
(2025), 3.2.2: at most 100). An enrolled tablet, and a browser that this person signed in with before, count for
themselves: nobody outside keeps those out. Where only the sender is known (a wrong token, made-up names), the wait
grows and ends by itself.
"""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import delete
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import Session

from app.models import Throttle

FREE_FAILURES = {"login": 5, "pin": 5, "total": 30, "names": 50}
"""By what a key starts with; anything else (a sender's address) has `FREE_FOR_SENDERS`: a kitchen shares one address.

`login` and `pin` are a name from one place, `total` is a name from all unknown places, `names` one place with any name.
"""
FREE_FOR_SENDERS = 20
LAST_FAILURE = {"login": 50, "pin": 50, "total": 100}
"""With so many in a row nothing opens any more until there is a new password or PIN; others end by themselves."""
LONGEST_WAIT_S = 900
FORGOTTEN_AFTER = timedelta(days=1)
"""How long the failures of a sender's address are remembered after the last one."""
REMOVED_AFTER = timedelta(days=90)
"""How long those of a login are, if no success ends them before."""
NEVER_S = 10 * 365 * 86400


@dataclass(frozen=True, slots=True)
class Guess:
    """A password (`kind` login) or PIN (`pin`) of a name, tried from a place.

    `place` is the sender's address, or what makes the place a known one: the enrolled tablet, the browser in which
    this person signed in before.
    """

    kind: str
    site_id: int
    login: str
    place: str
    is_known: bool

    @property
    def own(self) -> str:
        """The key of this name from this place."""
        return f"{_name_key(self.kind, self.site_id, self.login)}:{_digest(self.place)[:32]}"

    @property
    def keys(self) -> Sequence[str]:
        """Every key that counts this try."""
        if self.is_known:
            return (self.own,)
        return (self.own, _name_key("total", self.site_id, self.login), throttle_key("names", self.place))


def guess_wait_s(session: Session, guess: Guess, at: datetime) -> int:
    """Give how many seconds until the next try of this name from this place is heard, as `wait_s` does."""
    return max(wait_s(session, key, at) for key in guess.keys)


def record_guess(session: Session, guess: Guess, at: datetime) -> None:
    """Count one failure more, wherever it counts."""
    for key in sorted(guess.keys):  # in one order, so that two processes never wait for each other
        record_failure(session, key, at)


def record_right_guess(session: Session, guess: Guess) -> None:
    """Forget the failures of this name from this place: they were somebody mistyping. Those from elsewhere stand."""
    row = session.get(Throttle, guess.own)
    failures = row.failures if row else 0
    for key in sorted(set(guess.keys) - {guess.own}):
        others = session.get(Throttle, key, with_for_update=True, populate_existing=True)
        if others is not None:
            others.failures = max(0, others.failures - failures)
    record_success(session, guess.own)


def forget_guesses(session: Session, kind: str, site_id: int, login: str) -> None:
    """Forget every failure of this name's password (`kind` login) or PIN (`pin`): there is a new one."""
    own = _name_key(kind, site_id, login)
    session.execute(delete(Throttle).where(Throttle.key.startswith(own, autoescape=True)))
    if kind == "login":
        record_success(session, _name_key("total", site_id, login))


def _name_key(kind: str, site_id: int, login: str) -> str:
    return throttle_key(kind, site_id, login)


def throttle_key(kind: str, *parts: object) -> str:
    """Give the key of what was tried, e.g. `throttle_key("login", site.id, login)`; long ones as a digest."""
    tail = "\x1f".join(str(part) for part in parts)
    if len(tail) > 64 or not (tail.isascii() and tail.isprintable()):
        tail = _digest(tail)
    return f"{kind}:{tail}"


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def wait_s(session: Session, key: str, at: datetime) -> int:
    """Give how many seconds until the next try is heard; 0 is now, NEVER_S is when a new password is set."""
    row = session.get(Throttle, key)
    if row is None or _is_forgotten(row, at):
        return 0
    if row.failures >= LAST_FAILURE.get(_kind(key), row.failures + 1):
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
    return _kind(key) in LAST_FAILURE


def _is_forgotten(row: Throttle, at: datetime) -> bool:
    return not _has_end(row.key) and at - row.last_at >= FORGOTTEN_AFTER
