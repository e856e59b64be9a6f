"""The first page of the kitchen: one line a thing, the next to be lost on top."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, redirect, url_for
from flask.typing import ResponseReturnValue

from app import clock, ledger, register
from app.kinds.permissions import Permission
from app.logs.lines import Logbook
from app.logs.promptness import promptness
from app.rules.day.shown import Assessment
from app.rules.meaning.alarms import SOON
from app.server import get_database

from ..parts import first_steps, navigation
from ..parts.owed_days import OwedDay, owed_before
from ..parts.pages import is_whole, page
from ..signin import identity
from ..signin.identity import requires
from .answer_jobs import owed, sent_back_jobs
from .jobs import Job, Urgency
from .made_once import part, unless_known
from .running_day import today
from .set_aside import AsideLine, aside_lines
from .work import work

blueprint = Blueprint("home", __name__)

_ONE_DAY = timedelta(days=1)
_FORESEEN = timedelta(hours=4)
"""So far ahead a tablet knows what falls due, for when it cannot ask (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NowView:
    """What the first page shows, from top to bottom."""

    running_out: list[Job]
    """Lost if nothing is done in the next minutes."""
    aside: list[AsideLine]
    now: list[Job]
    """Due within minutes, or over."""
    later: list[Job]
    checks: list[Job]
    owed: int
    """How many findings wait for a corrective action."""
    promptness: tuple[tuple[str, str], ...]
    """What was written late or corrected today, and by whom on which device; for whoever reads the day."""
    assessment: Assessment

    @property
    def is_quiet(self) -> bool:
        """Whether nothing is in the ovens, in hot holding or cooling."""
        return not (self.is_pressing or self.later)

    @property
    def is_pressing(self) -> bool:
        """Whether something cannot wait: the one main button of the page is there then."""
        return bool(self.running_out or self.aside or self.now)


@blueprint.get("/")
@requires(Permission.OWN_ACCOUNT, to_nobody=True)
def now() -> ResponseReturnValue:
    """Show what needs doing now. Who only reads begins at their first page."""
    if not identity.may(Permission.RECORD_KITCHEN_ENTRY):
        return redirect(_first_page(), 303)
    live = part("home/_live.html", _work_of)
    if not is_whole():
        return unless_known(live)
    return page(
        "home/now.html",
        live=live.html,
        first_day=_first_day(),
        can_lose_tablet=_can_lose_tablet(),
        earlier=_earlier(),
    )


def _can_lose_tablet() -> bool:
    """Whether there is a tablet to be ended, by whoever may: not where this is one itself."""
    if identity.current().tablet or not identity.may(Permission.KEEP_TABLETS_AND_TOKENS):
        return False
    with get_database().reading() as session:
        listed = register.list_credentials(session, register.get_site(session, identity.current().site.code))
    return any(one.is_tablet and one.revoked_at is None for one in listed)


def _earlier() -> Sequence[OwedDay]:
    """Give the earlier days that ask for something, for whoever signs them; a tablet keeps to the food."""
    who = identity.current()
    if who.tablet is not None or not identity.may(Permission.SIGN_DAY):
        return ()
    return owed_before(who.site.code, today())


def _first_day() -> list[first_steps.Step]:
    """Give what the first reading of a new kitchen still needs, for whoever sets it up; nothing after its first day."""
    if not identity.may(Permission.KEEP_SITE):
        return []
    with get_database().reading() as session:
        seen = ledger.first_seen(session, identity.current().site.code)
    if seen is not None and clock.utc_now() - seen > _ONE_DAY:
        return []
    return [step for step in first_steps.steps() if step.is_needed and step.is_open]


def _work_of(assessment: Assessment) -> dict[str, object]:
    found = sorted([*work(assessment), *sent_back_jobs(assessment)], key=lambda job: (job.urgency, job.at))
    view = NowView(
        running_out=[job for job in found if job.urgency == Urgency.RUNNING_OUT],
        now=[job for job in found if job.urgency == Urgency.NOW],
        aside=aside_lines(assessment),
        later=[job for job in found if job.urgency in (Urgency.ANSWER, Urgency.LATER)],
        checks=[job for job in found if job.urgency == Urgency.DURING_THE_DAY],
        owed=len(owed(assessment)),
        promptness=promptness(Logbook(assessment)) if identity.may(Permission.READ_DAY) else (),
        assessment=assessment,
    )
    return {"view": view}


@blueprint.get("/due")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def due() -> ResponseReturnValue:
    """Give the band that stands on every page while something is lost soon, due or over; the script asks for it."""
    return unless_known(part("home/due.html", _due_of))


def _due_of(assessment: Assessment) -> dict[str, object]:
    found = sorted(work(assessment), key=lambda job: (job.urgency, job.at))
    until = assessment.as_of + _FORESEEN
    coming = [job for job in found if job.urgency == Urgency.LATER and job.alarm and job.at <= until]
    return {"jobs": [job for job in found if job.sounds], "coming": coming, "soon": SOON}


def _first_page() -> str:
    places = navigation.items(identity.current().role)
    return places[0].href if places else url_for("account.index")
