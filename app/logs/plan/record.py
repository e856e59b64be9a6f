"""What the printed plan is made from: one adopted version, the versions before it, and how the kitchen is set up."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from app import words
from app.kinds import PlanReassessed
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
