"""The printed plan of a site, from the register as it stands."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from app import ledger
from app.kinds import PlanAdopted, PlanReassessed
from app.logs.plan import PlanRecord
from app.rules.day.register_calendar import register_calendar
from app.rules.facts import Site
from app.rules.plans.plan import Adopted
from app.rules.plans.reassessment import Reassessment, reassessment


def read_plan(session: Session, site: str, *, as_of: datetime, version: int | None = None) -> PlanRecord:
    """Give a version of a site's plan as it is printed, the newest one where none is named.

    An earlier one is printed as it was last: with the kitchen as it was set up when the next took its place.
    Raises LookupError where there is no such version.
    """
    calendar = ledger.calendar_of(session, site)
    plans = [plan for plan in calendar.plans if version is None or plan.version <= version]
    if not plans or version not in (None, plans[-1].version):
        raise LookupError(f"{site} has no version {version} of its plan")
    next_one = next((plan for plan in calendar.plans if plan.version > plans[-1].version), None)
    until = next_one.adopted_at if next_one else as_of
    kitchen = _before(session, site, next_one.version) if next_one else calendar.site
    looks = [look for look in ledger.plan_reassessments(session, site, as_of=as_of) if look.observed_at <= until]
    asked = _asked(kitchen, plans, looks, as_of=as_of)
    return PlanRecord(site=kitchen, plans=plans, looks=looks, reassessment=asked, is_newest=next_one is None)


def _before(session: Session, site: str, version: int) -> Site:
    """Give the kitchen as it was set up when a version was adopted."""
    entries = ledger.register_entries(session, site)
    seq = next(one.seq for one in entries if isinstance(one, PlanAdopted) and one.version == version)
    return register_calendar(entries, through_seq=seq).site


def read_reassessment(session: Session, site: str, *, as_of: datetime) -> Reassessment:
    """Say whether the plan of a site is to be looked at again, and why."""
    calendar = ledger.calendar_of(session, site)
    looks = ledger.plan_reassessments(session, site, as_of=as_of)
    return _asked(calendar.site, calendar.plans, looks, as_of=as_of)


def _asked(site: Site, plans: Sequence[Adopted], looks: Sequence[PlanReassessed], *, as_of: datetime) -> Reassessment:
    return reassessment(plans, looks, list(site.equipment.values()), as_of=as_of)
