"""Asking for the signed document of the plan: once for each state of what it prints."""

from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from .jobs import ask
from .plan_document import read_plan

KEEP_PLAN = "keep_plan"
_SOON = timedelta(minutes=5)
"""Several changes of the kitchen one after the other make one document: the first job draws the newest state, and the
others find it kept."""


def printed_state(session: Session, site: str, *, at: datetime) -> str | None:
    """Give what tells one state of the newest version's document from another; None while there is no plan."""
    try:
        record = read_plan(session, site, as_of=at)
    except (LookupError, ValueError):
        return None
    return f"{record.adopted.version}:{len(record.looks)}:{record.kitchen_digest[:16]}"


def ask_for_document(session: Session, site: str, *, at: datetime) -> None:
    """Ask for the document of the newest version as it is printed now, unless it was asked for already."""
    state = printed_state(session, site, at=at)
    if state is not None:
        _ask(session, site, state, at=at, due_at=at)


def ask_after_change(session: Session, site: str, before: str | None, *, at: datetime) -> None:
    """Ask for another document in a while, where the newest one is no longer in the state that it was in before."""
    state = printed_state(session, site, at=at) if before is not None else None
    if state is not None and state != before:
        _ask(session, site, state, at=at, due_at=at + _SOON)


def _ask(session: Session, site: str, state: str, *, at: datetime, due_at: datetime) -> None:
    payload = {"site": site, "version": int(state.partition(":")[0])}
    ask(session, KEEP_PLAN, f"{site}:{state}", payload, at=at, due_at=due_at)
