"""Asking for the signed document of the plan: once for each state of what it prints."""

from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from .jobs import ask
from .plan_document import read_plan

KEEP_PLAN = "keep_plan"
_SOON = timedelta(minutes=5)
"""Several changes of the kitchen one after the other make one document: the first job draws the newest state, and the
others find it kept."""


def ask_for_document(session: Session, site: str, *, at: datetime) -> None:
    """Ask for the document of the newest version as it is printed now, unless it was asked for already."""
    _ask(session, site, at=at, due_at=at)


def ask_after_change(session: Session, site: str, *, at: datetime) -> None:
    """Ask for another document in a while, where what the newest one says of the kitchen is no longer so."""
    _ask(session, site, at=at, due_at=at + _SOON)


def _ask(session: Session, site: str, *, at: datetime, due_at: datetime) -> None:
    record = read_plan(session, site, as_of=at)
    version, printed = record.adopted.version, f"{len(record.looks)}:{record.kitchen_digest[:16]}"
    ask(session, KEEP_PLAN, f"{site}:{version}:{printed}", {"site": site, "version": version}, at=at, due_at=due_at)
