"""Words of a plan that was looked at again."""

from zoneinfo import ZoneInfo

from app.kinds import PlanReassessed

from .. import names
from ..marking import N_
from ..marking import gettext as _
from .saying import says


@says(PlanReassessed, N_("Plan reassessed"))
def _plan_reassessed(entry: PlanReassessed, zone: ZoneInfo) -> str:
    values = {"number": entry.version, "outcome": names.outcome_word(entry.outcome)}
    said = _("version %(number)s: %(outcome)s.", **values)
    return _(
        "%(said)s Looked at: %(looked_at)s. It rests on: %(basis)s",
        said=said,
        looked_at=entry.looked_at.rstrip("."),
        basis=entry.basis,
    ) + (_(" After: %(finding)s", finding=entry.finding) if entry.finding else "")
