"""A new kitchen's first day: what there is to do before the first reading and on that day, and which of it is done."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from flask import request, session, url_for
from flask_babel import LazyString
from flask_babel import lazy_gettext as _l
from sqlalchemy.orm import Session

from app import clock, ledger, models, register
from app.kinds import ProbeCheck, Receiving
from app.kinds.permissions import Permission
from app.server import get_database

from ..signin import identity

FOLLOWED = "first_day"
"""In the session of whoever works the list off: each step leads to the next."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do on the first day, as it stands now."""

    name: str
    title: LazyString
    why: LazyString
    href: str
    is_needed: bool
    """Whether the first right reading needs it."""
    is_done: bool
    is_skipped: bool

    @property
    def is_open(self) -> bool:
        """Whether the list still asks for it."""
        return not self.is_done and not self.is_skipped


_EVER = datetime(1970, 1, 1, tzinfo=UTC)

_STEPS: Mapping[str, tuple[LazyString, LazyString, str, bool]] = {
    "kitchen": (_l("Kitchen"), _l("Time zone, °F or °C, address and permit"), "site.index", False),
    "code": (_l("Code of law"), _l("Which limits count here, and who adopted them"), "plan.index", False),
    "ovens": (_l("Ovens"), _l("A load is started in one"), "first_day.equipment", True),
    "units": (_l("Hot and cold units"), _l("Where trays and birds stand"), "first_day.equipment", False),
    "probes": (_l("Probes"), _l("Each reading names the probe"), "first_day.equipment", True),
    "probe_check": (_l("A probe check"), _l("A reading counts with a checked probe"), "first_day.probe_check", True),
    "delivery": (_l("A delivery"), _l("A load names the lot of its birds"), "storage.receiving", True),
    "people": (_l("People"), _l("A cook needs a name and a PIN"), "first_day.people", False),
    "tablet": (_l("A tablet"), _l("Cooks write on it by name and PIN"), "credentials.tablets", False),
}
"""Title, why, the page and whether the first reading needs it, in the order in which it is best done."""


def steps() -> list[Step]:
    """Give the steps of the first day of who is at the screen, each as it stands."""
    with get_database().reading() as database:
        site = register.get_site(database, identity.current().site.code)
        done, skipped = _done(database, site), register.skipped_steps(site)
    return [
        Step(name, title, why, url_for(endpoint), is_needed, name in done, name in skipped)
        for name, (title, why, endpoint, is_needed) in _STEPS.items()
    ]


def is_step(name: str) -> bool:
    """Whether there is a step of that name."""
    return name in _STEPS


def go_on(otherwise: str) -> str:
    """Give the next page for whoever works the list off; else where it would go on anyway.

    Once the first reading has all that it needs, that is the start of a load, the first time.
    """
    if not session.get(FOLLOWED) or not identity.may(Permission.KEEP_SITE):
        return otherwise
    waiting = [step for step in steps() if step.is_needed and step.is_open]
    if waiting:
        return waiting[0].href
    session.pop(FOLLOWED)
    return url_for("starting.load_started")


def here() -> Step | None:
    """Give the step whose page this is, for whoever works the list off."""
    if not session.get(FOLLOWED) or not identity.may(Permission.KEEP_SITE):
        return None
    endpoint = _WITHIN.get(request.endpoint or "", request.endpoint)
    pages = {name: endpoint for name, (_title, _why, endpoint, _needed) in _STEPS.items()}
    of_page = [step for step in steps() if pages[step.name] == endpoint]
    return next((step for step in of_page if step.is_open), None)


_WITHIN = {"probes.probe_check": "first_day.probe_check"}


def _done(database: Session, site: models.Site) -> set[str]:
    """Give the names of what is done, by what the register and the ledger say."""
    kinds = {item.kind for item in register.list_equipment(database, site) if item.retired_at is None}
    people = [person for person in register.list_people(database, site) if person.retired_at is None]
    credentials = register.list_credentials(database, site)
    steps = {
        "kitchen": site.unit is not None,
        "code": register.newest_plan(database, site) is not None,
        "ovens": "oven" in kinds,
        "units": {"hot_unit", "cold_unit"} <= kinds,
        "probes": "probe" in kinds,
        "probe_check": _was_written(database, site, ProbeCheck),
        "delivery": _was_written(database, site, Receiving),
        "people": len(people) > 1,
        "tablet": any(one.is_tablet and one.revoked_at is None for one in credentials),
    }
    return {name for name, is_done in steps.items() if is_done}


def _was_written(database: Session, site: models.Site, kind: type[ProbeCheck | Receiving]) -> bool:
    return ledger.newest_of(database, site.code, kind, since=_EVER, as_of=clock.utc_now()) is not None
