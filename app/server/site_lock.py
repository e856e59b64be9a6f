"""Writing to a site: its lock first, then the time, so that whoever waited is recorded after those before."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime

from sqlalchemy import Connection
from sqlalchemy.orm import Session

from app import clock, ledger, models, register

from . import get_database
from .plan_asking import ask_after_change, printed_state


@contextmanager
def writing_to(site: str) -> Iterator[tuple[Session, datetime]]:
    """Write in one transaction that holds a site, if there is one of that code; give the time since it is held."""
    with get_database().writing() as session:
        ledger.hold(session, site)
        yield session, clock.utc_now()


@contextmanager
def changing(site: str) -> Iterator[tuple[Session, models.Site, datetime]]:
    """Change the register of a site in one transaction that holds it; give its row and the time since it is held.

    Where what the plan prints of the kitchen is another, its document is asked for. Raises Refused (site unknown).
    """
    with get_database().writing() as session:
        row, now = register.hold_site(session, site), clock.utc_now()
        before = printed_state(session, row.code, at=now)
        yield session, row, now
        ask_after_change(session, row.code, before, at=now)


@contextmanager
def appending_to(site: str) -> Iterator[tuple[Connection, ledger.SiteRow, datetime]]:
    """As `writing_to`, for whom a bare connection is enough; give the site, too. Raises LookupError for none."""
    with get_database().appending() as connection:
        held = ledger.hold(connection, site)
        if held is None:
            raise LookupError(f"there is no site {site}")
        yield connection, held, clock.utc_now()
