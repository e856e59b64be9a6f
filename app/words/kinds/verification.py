"""Words of verification: work that was watched, trainings, and the signature under a week."""

from zoneinfo import ZoneInfo

from app.kinds import Training, WeekSignOff, WorkObserved

from .. import measures, names
from ..marking import N_
from ..marking import gettext as _
from .saying import parts, says


@says(WorkObserved, N_("Work observed"))
def _work_observed(entry: WorkObserved, zone: ZoneInfo) -> str:
    return parts(entry.whom, names.watched_word(entry.watched), names.outcome_word(entry.outcome), entry.remark or "")


@says(Training, N_("Training"))
def _training(entry: Training, zone: ZoneInfo) -> str:
    until = _("valid until %(day)s", day=measures.day_words(entry.until)) if entry.until else ""
    return parts(entry.whom, entry.what, _("by %(name)s", name=entry.taught_by), until)


@says(WeekSignOff, N_("Week signed"))
def _week_sign_off(entry: WeekSignOff, zone: ZoneInfo) -> str:
    week = _("week from %(day)s", day=measures.day_words(entry.week))
    return parts(_("signed by %(name)s", name=entry.signer_name), week)
