"""A tray in hot holding: its page, checking its temperature, moving it."""

from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, RadioField

from app import words
from app.kinds import HoldReading, Subject, Temperature
from app.kinds.permissions import Permission
from app.logs import drawings
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import TrayView
from app.rules.facts import Finding
from app.rules.meaning import asking
from app.rules.meaning import holding as meaning
from app.rules.meaning.bands import Bands, Meaning, means

from ..parts.forms import Draft, EntryForm, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, readings, tray_jobs
from .readings import ReadingForm
from .running_day import assess_today, entries_of, is_open
from .set_aside import aside_line
from .undoing import offer_undo

blueprint = Blueprint("holding", __name__)

WAYS = ("served", "prepared", "donated", "chilled", "reheated", "other_tray", "returned_to_oven", "discarded")
"""Every way out of a tray, in the order of the page."""


class HoldReadingForm(ReadingForm):
    """The temperature of what is in a tray."""

    def entry(self, tray: str) -> Draft:
        """Give the reading as an entry."""
        return self.draft("hold_reading", tray=tray, **self.reading(identity.current().site))


class TrayMovedForm(EntryForm):
    """The unit that a tray goes to."""

    hot_unit = RadioField(_l("Hot-holding unit"), validate_choice=False)


class EmptiedForm(EntryForm):
    """All that was left was served: one tap."""

    birds = HiddenField()


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayPage:
    """One tray as its pages show it."""

    assessment: Assessment
    tray: TrayView
    findings: tuple[Finding, ...]

    def with_(self, after: Assessment) -> "TrayPage":
        """Give the same tray as another assessment shows it."""
        tray = next(tray for tray in after.trays if tray.tray == self.tray.tray)
        return TrayPage(assessment=after, tray=tray, findings=self.findings)

    @property
    def last_reading(self) -> HoldReading | None:
        """The newest hold reading."""
        return self.tray.held[-1].entry if self.tray.held else None

    @property
    def other_ways(self) -> tuple[str, ...]:
        """Ways out that the plan does not allow now; what happened anyway is still written down."""
        return tuple(way for way in WAYS if way not in self.tray.ways_in_order)

    @property
    def must_go(self) -> bool:
        """Whether its birds may only be thrown away now."""
        return meaning.must_go(self.tray)

    @property
    def allowed(self) -> str:
        """What the birds may become now, in words."""
        return words.joined([words.to_word(way) for way in self.tray.ways_in_order])

    @property
    def bands_min(self) -> tuple[int, int]:
        """From how many minutes out of temperature its second and its last band begin."""
        return meaning.bands_min(self.tray)

    @property
    def longest_by_time_min(self) -> int:
        """For how many minutes at most it may be held by time alone."""
        return meaning.longest_by_time_min(self.tray)

    @property
    def by_time(self) -> str:
        """Where its birds may go while it is held by time alone, in words."""
        return ", ".join(words.to_word(way) for way in meaning.ways_by_time(self.tray))

    @property
    def procedure(self) -> str:
        """The written procedure for time as the control; empty where its plan names none."""
        return meaning.procedure_of(self.tray)

    def bands(self, unit: str) -> Bands:
        """Give what any number on the pad would mean, in °F or °C."""
        return meaning.hold_bands(self.tray, unit)

    def meaning_of(self, reading: Temperature) -> Meaning:
        """Give what a reading of the tray means."""
        return means(self.bands(reading.unit), reading)

    @property
    def late(self) -> meaning.LateCheck | None:
        """Its check, where that is late."""
        return meaning.late_check(self.tray, self.assessment.as_of)

    @property
    def late_line(self) -> str:
        """What it means that its check is late; empty where it is not."""
        return tray_jobs.late_line(self.tray, self.assessment)

    @property
    def line(self) -> str:
        """The tray in one line."""
        return tray_jobs.tray_line(self.tray)


@blueprint.get("/trays/<tray>")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def tray_page(tray: str) -> ResponseReturnValue:
    """Show a tray: what is in it, when it is due, and where its birds may go."""
    view = find_tray(tray)
    return page(
        "holding/tray.html",
        view=view,
        aside=aside_line(view.assessment, Subject("tray", tray), view.tray.set_aside),
        form=EmptiedForm.of_request(birds=str(view.tray.birds_left)),
        entries=entries_of(view.assessment, "tray", tray),
        ways=WAYS,
        line=drawings.time_line(view.tray, view.assessment.as_of) if view.tray.birds_left else None,
    )


@blueprint.route("/trays/<tray>/check", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def hold_reading(tray: str) -> ResponseReturnValue:
    """Check a tray: what the number means is shown, then it is saved."""
    view = find_tray(tray)
    form = HoldReadingForm.of_request(**readings.probe_presets())
    form.offer_probes(identity.current().site)
    pad = confirming.Pad(asking.of_tray(), view.bands)
    if request.method == "POST" and pad.keeps(form, draft := form.entry(tray)):
        readings.remember_probe(draft)
        said = f"{draft['temperature']} °{draft['unit']}"
        flash(_("Saved: tray %(tray)s, %(reading)s.", tray=words.short_name(tray), reading=said))
        return redirect(pad.lead_on(form, draft, url_for("home.now")), 303)
    status = 422 if form.errors_at() else 200
    return page("holding/hold_reading.html", status, view=view, form=form, pad=pad)


@blueprint.route("/trays/<tray>/move", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def tray_moved(tray: str) -> ResponseReturnValue:
    """Move a tray to another hot-holding unit."""
    view = find_tray(tray)
    form = TrayMovedForm.of_request()
    units = [item.code for item in readings.listed(identity.current().site, "hot_unit")]
    form.hot_unit.choices = {unit: unit for unit in units if unit != view.tray.hot_unit}
    draft = form.draft("tray_moved", tray=tray, hot_unit=form.hot_unit.data)
    if request.method == "POST" and recorded(form, [draft]):
        session["hot_unit"] = form.hot_unit.data
        flash(_("Tray %(tray)s is in %(unit)s now.", tray=words.short_name(tray), unit=form.hot_unit.data))
        return redirect(url_for("holding.tray_page", tray=tray), 303)
    return page("holding/tray_moved.html", 422 if form.errors_at() else 200, view=view, form=form)


@blueprint.post("/trays/<tray>/emptied")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def emptied(tray: str) -> ResponseReturnValue:
    """Write down that all that was left in a tray was served."""
    form = EmptiedForm.of_request()
    draft = form.draft("tray_out", tray=tray, birds=form.birds.data, to="served")
    if recorded(form, [draft]):
        assess_today()  # it says which names are short
        offer_undo(_("Tray %(tray)s: all served, nothing left.", tray=words.short_name(tray)), form.entry_id.data)
        return redirect(url_for("home.now"), 303)
    for error in form.errors_at():
        flash(error.text, "error")
    is_shown = any(one.tray == tray for one in assess_today().trays)
    return redirect(url_for("holding.tray_page", tray=tray) if is_shown else url_for("home.now"), 303)


def find_tray(tray: str) -> TrayPage:
    """Give a tray of the day; 404 where there is none of that name."""
    assessment = assess_today()
    found = next((one for one in assessment.trays if one.tray == tray), None) or abort(404)
    return TrayPage(assessment=assessment, tray=found, findings=open_findings(assessment, tray))


def open_findings(assessment: Assessment, tray: str) -> tuple[Finding, ...]:
    """Give the findings of a tray that wait for an answer."""
    subject = ("tray", tray)
    found = (one for one in assessment.findings if (one.subject.kind, one.subject.name) == subject)
    return tuple(finding for finding in found if is_open(finding))
