"""The first page of the kitchen: what needs doing now."""

from dataclasses import dataclass

from flask import Blueprint, redirect, url_for
from flask.typing import ResponseReturnValue

from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment

from ..parts import navigation
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import jobs
from .batch_jobs import batch_jobs
from .running_day import assess_today
from .set_aside import AsideLine, aside_lines
from .unit_jobs import unit_jobs

blueprint = Blueprint("home", __name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class NowView:
    """What the first page shows."""

    running_out: list[jobs.Job]
    """What is lost if nothing is done in the next minutes: it stands above what is set aside."""
    aside: list[AsideLine]
    urgent: list[jobs.Job]
    later: list[jobs.Job]
    chilled: list[jobs.Job]
    """Batches and reheats that have time."""
    checks: list[jobs.Job]
    loads: list[jobs.LoadJob]
    assessment: Assessment

    @property
    def is_pressing(self) -> bool:
        """Whether something stands above the ovens: the one main button of the page is there then."""
        return bool(self.running_out or self.aside or self.urgent)


@blueprint.get("/")
@requires(Permission.OWN_ACCOUNT)
def now() -> ResponseReturnValue:
    """Show what needs doing now, the most urgent first. Who only reads begins at their first page."""
    if not identity.may(Permission.RECORD_KITCHEN_ENTRY):
        return redirect(_first_page(), 303)
    assessment = assess_today()
    found, chilled = [*jobs.jobs_of(assessment), *unit_jobs(assessment)], list(batch_jobs(assessment))
    pressing = [job for job in (*found, *chilled) if job.urgency < jobs.Urgency.LATER]
    pressing.sort(key=lambda job: (job.urgency, job.at))
    view = NowView(
        running_out=[job for job in pressing if job.runs_out],
        urgent=[job for job in pressing if not job.runs_out],
        later=[job for job in found if job.urgency == jobs.Urgency.LATER],
        chilled=[job for job in chilled if job.urgency == jobs.Urgency.LATER],
        checks=[job for job in found if job.urgency == jobs.Urgency.DURING_THE_DAY],
        loads=jobs.loads_cooking(assessment),
        aside=aside_lines(assessment),
        assessment=assessment,
    )
    return page("home/now.html", view=view)


def _first_page() -> str:
    places = navigation.items(identity.current().person.role)
    return places[0].href if places else url_for("account.index")
