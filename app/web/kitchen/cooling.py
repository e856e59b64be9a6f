"""Chilled batches: the clock of their cooling, what is due by when, and reading them."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _

from app import words
from app.kinds import Entry, Subject, Temperature, temperature_of
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import BatchView
from app.rules.facts import Finding, Verdict
from app.rules.meaning import answered, asking
from app.rules.meaning import cooling as meaning
from app.rules.meaning.bands import Bands, Meaning, means

from ..parts.forms import Draft
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import batch_forecast, confirming, readings
from .batch_forecast import Mark
from .readings import ReadingForm
from .running_day import assess_today, is_open
from .set_aside import aside_line, ways_out

blueprint = Blueprint("cooling", __name__)

WAYS = ("served_cold", "reheated_to_order", "prepared", "donated", "reheated", "discarded")
"""Where birds of a batch go, in the order in which it is asked."""


class CoolingReadingForm(ReadingForm):
    """The temperature in the middle of the thickest piece of a batch."""

    def entry(self, batch: str) -> Draft:
        """Give the reading as an entry."""
        return self.draft("cooling_reading", batch=batch, **self.reading(identity.current().site))


@dataclass(frozen=True, slots=True, kw_only=True)
class BatchPage:
    """One batch as its pages show it."""

    assessment: Assessment
    batch: BatchView
    marks: Sequence[Mark]
    findings: tuple[Finding, ...]

    def with_(self, after: Assessment) -> "BatchPage":
        """Give the same batch as another assessment shows it."""
        return batch_page_of(after, self.batch.batch)

    @property
    def verdict(self) -> Verdict | None:
        """The worst of its stages, open findings and date; None where its birds were gone before anything was decided.

        A passed date is the finding of the day on which it passed; the birds are past it on every later day too.
        """
        if self.is_past_date:
            return Verdict.NOT_MET
        order = (Verdict.NOT_MET, Verdict.NOT_SHOWN, Verdict.PENDING, Verdict.MET)
        found = {mark.stage.verdict for mark in self.marks} | {finding.verdict for finding in self.findings}
        return next((one for one in order if one in found), None)

    @property
    def last_reading(self) -> Entry | None:
        """The newest entry with a reading."""
        return next((entry for entry in reversed(self.batch.history) if temperature_of(entry) is not None), None)

    @property
    def next_mark(self) -> Mark | None:
        """The stage that is pending."""
        return next((mark for mark in self.marks if mark.stage.verdict is Verdict.PENDING), None)

    @property
    def likely(self) -> str:
        """Whether it is likely to miss a mark, in words; empty where nothing points to it."""
        return batch_forecast.likely_words(self.marks)

    @property
    def warm_air(self) -> Temperature | None:
        """The air of its cold unit, where that was last read too warm to cool it down."""
        return batch_forecast.warm_air(self.batch, self.assessment)

    @property
    def is_cooling(self) -> bool:
        """Whether its cooling is not decided yet."""
        return meaning.is_cooling(self.batch)

    def bands(self, unit: str) -> Bands:
        """Give what any number on the pad would mean, in °F or °C."""
        return meaning.cooling_bands(self.batch, unit)

    def meaning_of(self, reading: Temperature) -> Meaning:
        """Give what a reading of the batch means."""
        return means(self.bands(reading.unit), reading)

    @property
    def is_past_date(self) -> bool:
        """Whether its last day is over and birds are still there."""
        use_by = self.batch.use_by
        return use_by is not None and self.assessment.day > use_by and self.batch.birds_left > 0

    @property
    def allowed(self) -> str:
        """Where its birds may go by what sets them aside and by what was answered, in words."""
        return words.joined([words.to_word(way) for way in self.batch.ways_in_order])

    @property
    def must_go(self) -> bool:
        """Whether a corrective action says that it is thrown away."""
        return answered.is_to_go(self.batch)

    @property
    def line(self) -> str:
        """The batch in one line."""
        parts = [words.birds(self.batch.birds_left)]
        if self.batch.cold_unit:
            parts.append(self.batch.cold_unit)
        last = self.last_reading
        if last is not None and (read := temperature_of(last)) is not None:
            parts.append(words.measured(read))
        parts += [words.disposition_word(action.disposition) for action in self.batch.ordered]
        return " · ".join(parts)


@blueprint.get("/batches")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def batches() -> ResponseReturnValue:
    """Show the batches of the day, those that still cool first."""
    assessment = assess_today()
    found = [batch_page_of(assessment, one.batch) for one in assessment.batches]
    pages = sorted(found, key=lambda one: (not one.is_cooling, not one.batch.birds_left))
    return page("cooling/batches.html", assessment=assessment, pages=pages)


@blueprint.get("/batches/<batch>")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def batch_page(batch: str) -> ResponseReturnValue:
    """Show a batch: its clock, what is due by when, the forecast, and where its birds may go."""
    view = find_batch(batch)
    entries = [entry for entry in view.assessment.entries if getattr(entry, "batch", None) == batch]
    subject, in_order = Subject("batch", batch), view.batch.ways_in_order
    return page(
        "cooling/batch.html",
        view=view,
        aside=aside_line(view.assessment, subject, view.batch.set_aside),
        ways=ways_out(subject, in_order),
        others=ways_out(subject, [way for way in WAYS if way not in in_order]) if view.batch.birds_left else [],
        entries=entries,
        methods=batch_forecast.methods(),
    )


@blueprint.route("/batches/<batch>/reading", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def cooling_reading(batch: str) -> ResponseReturnValue:
    """Read a batch: what the number means is shown, then it is saved."""
    view = find_batch(batch)
    form = CoolingReadingForm.of_request(**readings.probe_presets())
    form.offer_probes(identity.current().site)
    pad = confirming.Pad(asking.of_batch(), view.bands)
    if request.method == "POST" and pad.keeps(form, draft := form.entry(batch)):
        readings.remember_probe(draft)
        said = f"{draft['temperature']} °{draft['unit']}"
        flash(_("Saved: batch %(batch)s, %(reading)s.", batch=words.short_name(batch), reading=said))
        return redirect(pad.lead_on(form, draft, url_for("cooling.batch_page", batch=batch)), 303)
    status = 422 if form.errors_at() else 200
    return page("cooling/cooling_reading.html", status, view=view, form=form, pad=pad)


def find_batch(batch: str) -> BatchPage:
    """Give a batch of the day; 404 where there is none of that name."""
    return batch_page_of(assess_today(), batch)


def batch_page_of(assessment: Assessment, batch: str) -> BatchPage:
    """Give a batch as an assessment shows it; 404 where it shows none of that name."""
    found = next((one for one in assessment.batches if one.batch == batch), None) or abort(404)
    subject = ("batch", batch)
    findings = (one for one in assessment.findings if (one.subject.kind, one.subject.name) == subject)
    return BatchPage(
        assessment=assessment,
        batch=found,
        marks=batch_forecast.marks_of(found, assessment),
        findings=tuple(finding for finding in findings if is_open(finding)),
    )
