"""Whoever signs in is told what others changed about their access since; the page of the account lists all of it."""

from collections.abc import Sequence

from flask import flash
from flask_babel import gettext as _

from app import clock, ledger, register, words
from app.register import AccessChange
from app.rules.facts import Site
from app.server import get_database

_MOST = 3
"""So many are said at once; the others stand on the page of the account."""


def tell_changes(site: str, login: str) -> None:
    """Say on the next page what others changed about the access of whoever has just signed in."""
    with get_database().writing() as database:
        row = register.get_site(database, site)
        person = register.get_person(database, row, login)
        changes = register.changes_to_tell(database, row, person, at=clock.utc_now())
        facts = ledger.read_site(database, site) if changes else None
    if facts is None:
        return
    with words.by_clock(facts.clock):  # whoever signs in comes from a page of no kitchen
        said = [change_words(change, facts, login) for change in changes[-_MOST:]]
    flash(" ".join([*said, _("If you did not know of this, tell the person in charge.")]), "error")


def changes_shown(site: Site, login: str) -> Sequence[str]:
    """Give every change of somebody's access in words, the newest first."""
    with get_database().reading() as database:
        changes = register.access_changes(database, register.get_site(database, site.code), login)
    return [change_words(change, site, login) for change in reversed(changes)]


def change_words(change: AccessChange, site: Site, login: str) -> str:
    """Say one change to the person."""
    return words.access_change_words(
        change.what,
        is_end=change.is_end,
        by=_who(change.by, site, login),
        at=words.local_date_time(change.at, site.timezone),
        role=change.role,
        number=change.number,
    )


def _who(by: str | None, site: Site, login: str) -> str:
    if by == login:
        return str(_("you"))
    person = site.people.get(by or "")
    return person.name if person else by or ""
