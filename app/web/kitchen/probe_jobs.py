"""What needs doing now about probes: each in use whose check is due, and all the others in one line."""

from collections.abc import Iterator

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.rules.day.shown import Assessment
from app.rules.facts import Verdict
from app.rules.meaning.alarms import Alarm

from . import out_of_use, probes
from .jobs import Job, Urgency


def probe_jobs(assessment: Assessment) -> Iterator[Job]:
    """Give a job for each probe in use today whose check is due, and one for all the others together."""
    in_use = {view.probe for view in assessment.probes}
    codes = [line.equipment.code for line in probes.probe_lines() if line.is_due(assessment)]
    out = out_of_use.codes_out() if codes else set()
    due = [code for code in codes if code not in out]
    for code in due:
        if code in in_use:
            says = _("Check it before its next reading: no passed check covers it.")
            yield _probe_job(assessment, Urgency.NOW, [code], says)
    others = [code for code in due if code not in in_use]
    if others:
        says = _("Not used today. Check before the first reading.")
        yield _probe_job(assessment, Urgency.DURING_THE_DAY, others, says)


def _probe_job(assessment: Assessment, urgency: Urgency, codes: list[str], says: str) -> Job:
    named = words.joined(codes)
    is_one = len(codes) == 1
    return Job(
        urgency=urgency,
        at=assessment.ends_at,  # after food that is as pressing: what is lost first stands first
        verdict=Verdict.PENDING,
        title=_("Probe %(probe)s", probe=named) if is_one else _("Probes %(probes)s", probes=named),
        says=says,
        when=_("due"),
        when_small=_("check"),
        href=url_for("probes.probe_check", probe=codes[0]) if is_one else url_for("probes.index"),
        label=_("Check"),
        alarm=Alarm("probe", codes[0], "check_probe") if is_one else None,
    )
