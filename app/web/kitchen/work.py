"""All that is to be done by hand now, a line a thing, with who silenced its alarm."""

from dataclasses import replace

from app import words
from app.rules.day.shown import Assessment
from app.rules.meaning.alarms import Silences

from .batch_jobs import batch_jobs
from .jobs import Job
from .load_jobs import load_jobs
from .probe_jobs import probe_jobs
from .tray_jobs import tray_jobs
from .unit_jobs import unit_jobs


def work(assessment: Assessment) -> list[Job]:
    """Give what is to be done by hand; what is owed in writing is never in a hurry."""
    silences = Silences(assessment.entries, as_of=assessment.as_of)
    found = (tray_jobs, load_jobs, batch_jobs, unit_jobs, probe_jobs)
    return [_with_silence(job, silences, assessment) for jobs_of in found for job in jobs_of(assessment)]


def _with_silence(job: Job, silences: Silences, assessment: Assessment) -> Job:
    silence = silences.of(job.alarm) if job.alarm and job.is_pressing else None
    if silence is None:
        return job
    return replace(job, silenced=words.silenced_words(silence, assessment.site, day=assessment.day))
