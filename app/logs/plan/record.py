"""What the printed plan is made from: one adopted version, the versions before it, and how the kitchen is set up."""

import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from app import words
from app.kinds import PlanReassessed
from app.kinds.permissions import Permission, may
from app.rules.facts import Site
from app.rules.plans.plan import Adopted, Attachment, Plan, resolve
from app.rules.plans.reassessment import Reassessment


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRecord:
    """A version of a site's plan with what belongs to it."""

    site: Site
    plans: Sequence[Adopted]
    """All versions up to this one, oldest first."""
    looks: Sequence[PlanReassessed]
    """When the plan was looked at again, oldest first."""
    reassessment: Reassessment
    is_newest: bool = True
    """Whether no later version was adopted."""

    @property
    def adopted(self) -> Adopted:
        """The version that is printed."""
        return self.plans[-1]

    @property
    def plan(self) -> Plan:
        """What it holds."""
        return resolve(self.adopted, self.adopted_on)

    @property
    def adopted_on(self) -> date:
        """The day of its adoption, on the kitchen's clock."""
        return self.adopted.adopted_at.astimezone(self.site.timezone).date()

    @property
    def made_of(self) -> datetime:
        """The newest moment that it tells of: the same plan gives the same file."""
        return max([self.adopted.adopted_at, *(look.recorded_at for look in self.looks)])

    @property
    def kitchen_digest(self) -> str:
        """What it says of the kitchen as SHA-256: name, place, permit, clock, people and equipment.

        Another one calls for another kept file of the same version.
        """
        site = self.site
        named = {plan.adopted_by for plan in self.plans} | {look.person for look in self.looks}
        people = [
            (one.login, one.name, one.certificate, one.role, one.retired_at is None)
            for one in site.people.values()
            if one.login in named or may(one.role, Permission.ADOPT_PLAN)
        ]
        used = [(item.kind, item.code) for item in site.equipment.values() if item.retired_at is None]
        said = (site.code, site.name, site.address, site.permit, site.timezone.key, site.clock, people, used)
        return hashlib.sha256(json.dumps(said).encode()).hexdigest()

    def text(self, part: str) -> str:
        """Give what the kitchen wrote of a part; empty where it wrote nothing."""
        return dict(self.adopted.texts).get(part, "")

    def files(self, part: str) -> Sequence[Attachment]:
        """Give the files that belong to a part."""
        return [one for one in self.adopted.attachments if one.part == part]

    def person(self, login: str) -> str:
        """Give somebody's name, or the login where nobody is known by it."""
        known = self.site.people.get(login)
        return known.name if known else login

    def moment(self, at: datetime) -> str:
        """Give a moment in full on the kitchen's clock."""
        return words.local_date_time(at, self.site.timezone)
