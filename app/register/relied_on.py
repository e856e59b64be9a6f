"""What the kitchen relies on right now: the written procedure for time as the control, while trays are held by it."""

from datetime import datetime

from sqlalchemy.orm import Session

from app import ledger
from app.kinds import TimeControlStarted, of_kind
from app.rules.plans.plan import Plan

from .refused import Refused


def check_procedure(session: Session, site: str, coming: Plan, *, at: datetime) -> None:
    """Refuse to drop the written procedure while trays are held by time alone.

    Raises Refused (time_control_procedure relied_on).
    """
    stays = coming.limits.time_control_procedure and coming.has("time_control")
    if stays or not ledger.calendar_of(session, site).plan_at(at).limits.time_control_procedure:
        return
    if trays := trays_by_time(session, site, at=at):
        raise Refused("time_control_procedure", "relied_on", trays=trays)


def trays_by_time(session: Session, site: str, *, at: datetime) -> tuple[str, ...]:
    """Give the trays that hold birds by time alone at a moment."""
    today = ledger.assess_day(session, site, ledger.today(session, site, at), as_of=at)
    return tuple(tray.tray for tray in today.trays if tray.birds_left and of_kind(tray.history, TimeControlStarted))
