"""Reheats for hot holding: read, held, and done into a tray."""

from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, session, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import RadioField, StringField

from app import words
from app.kinds import ReheatReading, Subject, of_kind
from app.kinds.permissions import Permission
from app.rules.day.food_views import INTO_TRAY
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import ReheatView
from app.rules.facts import Finding, Verdict
from app.rules.meaning import answered, asking
from app.rules.meaning import reheating as meaning
from app.rules.meaning.bands import Bands, Meaning
from app.rules.plans.limits import TemperatureLimit

from ..parts.forms import Draft, measured, quarters, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, readings, receivers
from .readings import ReadingForm
from .receivers import MergingForm
from .running_day import assess_today, is_open, lead_on
from .set_aside import aside_line

blueprint = Blueprint("reheating", __name__)


class ReheatReadingForm(ReadingForm):
    """The temperature of the coldest part, and how long it was held there."""

    held_s = StringField(_l("Held for (seconds)"))

    def entry(self, reheat: str) -> Draft:
        """Give the reading as an entry."""
        held = measured(self.held_s.data)
        return self.draft("reheat_reading", reheat=reheat, held_s=held, **self.reading(identity.current().site))


class ReheatDoneForm(MergingForm):
    """What comes out hot goes into a tray."""

    birds = StringField(_l("Birds into the tray"))
    tray = RadioField(_l("Tray"), validate_choice=False)
    hot_unit = RadioField(_l("Hot-holding unit"), validate_choice=False)
    discarded = StringField(_l("Thrown away"))

    def entry(self, reheat: str) -> Draft:
        """Give the end of the reheat as an entry; without birds for it there is no tray."""
        birds = quarters(self.birds.data)
        return self.draft(
            "reheat_done",
            reheat=reheat,
            tray=self.tray.data if birds != 0 else None,
            hot_unit=self.hot_unit.data if birds != 0 else None,
            birds=birds,
            discarded=quarters(self.discarded.data),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ReheatPage:
    """One reheat as its pages show it."""

    assessment: Assessment
    reheat: ReheatView
    findings: tuple[Finding, ...]

    def with_(self, after: Assessment) -> "ReheatPage":
        """Give the same reheat as another assessment shows it."""
        return reheat_page_of(after, self.reheat.reheat)

    @property
    def readings(self) -> list[ReheatReading]:
        """Its readings, in order of time."""
        return of_kind(self.reheat.history, ReheatReading)

    @property
    def last_reading(self) -> ReheatReading | None:
        """The newest reading."""
        return self.readings[-1] if self.readings else None

    @property
    def is_hot(self) -> bool:
        """Whether its last reading is at or above the limit."""
        found = self.meaning
        return found is not None and found.verdict is not Verdict.NOT_MET

    @property
    def is_held(self) -> bool:
        """Whether its readings at the limit show that it was held as long as the plan asks."""
        return meaning.is_shown_held(self.reheat)

    @property
    def meaning(self) -> Meaning | None:
        """What its newest reading means; None before the first."""
        return meaning.reheat_meaning(self.reheat)

    @property
    def limit(self) -> TemperatureLimit:
        """The temperature that all parts have to reach."""
        return meaning.reheat_limit(self.reheat)

    @property
    def dwell_s(self) -> int:
        """For how many seconds that has to be held; 0 where its plan asks for no time."""
        return meaning.dwell_s(self.reheat)

    def bands(self, unit: str) -> Bands:
        """Give what any number on the pad would mean, in °F or °C."""
        return meaning.reheat_bands(self.reheat, unit)

    @property
    def is_ready(self) -> bool:
        """Whether it can go into hot holding by what was read."""
        return self.is_hot and self.is_held

    @property
    def may_go_in_tray(self) -> bool:
        """Whether it is offered to be kept hot: nothing that was answered, or that sets it aside, is against it."""
        aside = self.reheat.set_aside
        return aside.can_be_made_good if aside else INTO_TRAY in self.reheat.ways_in_order

    @property
    def must_go(self) -> bool:
        """Whether a corrective action says that it is thrown away."""
        return answered.is_to_go(self.reheat)

    @property
    def line(self) -> str:
        """The reheat in one line."""
        parts = [words.birds(self.reheat.birds_left), words.subject_words(self.reheat.source)]
        if self.last_reading:
            parts.append(words.measured(self.last_reading.reading))
        parts += [words.disposition_word(action.disposition) for action in self.reheat.ordered]
        return " · ".join(parts)


@blueprint.get("/reheats/<reheat>")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def reheat_page(reheat: str) -> ResponseReturnValue:
    """Show a reheat: its clock, its readings, and whether it can go into a tray."""
    view = find_reheat(reheat)
    entries = [entry for entry in view.assessment.entries if getattr(entry, "reheat", None) == reheat]
    aside = aside_line(view.assessment, Subject("reheat", reheat), view.reheat.set_aside)
    return page("reheating/reheat.html", view=view, aside=aside, entries=entries)


@blueprint.route("/reheats/<reheat>/reading", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def reheat_reading(reheat: str) -> ResponseReturnValue:
    """Read a reheat: what the number means is shown, then it is saved."""
    view = find_reheat(reheat)
    form = ReheatReadingForm.of_request(**readings.probe_presets())
    form.offer_probes(identity.current().site)
    pad = confirming.Pad(asking.of_reheat(), view.bands)
    if request.method == "POST" and pad.keeps(form, draft := form.entry(reheat)):
        readings.remember_probe(draft)
        said = f"{draft['temperature']} °{draft['unit']}"
        flash(_("Saved: reheat %(reheat)s, %(reading)s.", reheat=words.short_name(reheat), reading=said))
        return redirect(pad.lead_on(form, draft, url_for("reheating.reheat_page", reheat=reheat)), 303)
    status = 422 if form.errors_at() else 200
    return page("reheating/reheat_reading.html", status, view=view, form=form, pad=pad)


@blueprint.route("/reheats/<reheat>/done", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def reheat_done(reheat: str) -> ResponseReturnValue:
    """Put what is hot into a tray; what the readings do not show is written down too, and raises a finding."""
    view = find_reheat(reheat)
    units = [item.code for item in readings.listed(identity.current().site, "hot_unit")]
    known = session.get("hot_unit")
    hot_unit = known if known in units else units[0] if len(units) == 1 else None
    left = words.bird_count(view.reheat.birds_left)
    birds = {"birds": "0", "discarded": left} if request.args.get("away") == "all" else {"birds": left}
    holding = receivers.trays(view.assessment)
    trays = receivers.new_tray() | receivers.adding(holding)
    form = ReheatDoneForm.of_request(**birds, tray=next(iter(trays)), hot_unit=hot_unit)
    form.tray.choices = trays
    form.hot_unit.choices = {unit: unit for unit in units}
    draft = form.entry(reheat)
    if request.method == "POST" and form.is_on_page(holding, draft, "tray") and recorded(form, [draft]):
        if "tray" not in draft:
            flash(_("Reheat %(reheat)s: thrown away.", reheat=words.short_name(reheat)))
            return redirect(lead_on(form, url_for("home.now")), 303)
        session["hot_unit"] = form.hot_unit.data
        flash(
            _(
                "Reheat %(reheat)s: in tray %(tray)s.",
                reheat=words.short_name(reheat),
                tray=words.short_name(draft["tray"]),
            )
        )
        return redirect(lead_on(form, url_for("holding.tray_page", tray=draft["tray"])), 303)
    form.note_on_page(holding)
    status = 422 if form.errors_at() else 200
    return page("reheating/reheat_done.html", status, view=view, form=form, holding=holding)


def find_reheat(reheat: str) -> ReheatPage:
    """Give a reheat of the day; 404 where there is none of that name."""
    return reheat_page_of(assess_today(), reheat)


def reheat_page_of(assessment: Assessment, reheat: str) -> ReheatPage:
    """Give a reheat as an assessment shows it; 404 where it shows none of that name."""
    found = next((one for one in assessment.reheats if one.reheat == reheat), None) or abort(404)
    subject = ("reheat", reheat)
    findings = (one for one in assessment.findings if (one.subject.kind, one.subject.name) == subject)
    return ReheatPage(
        assessment=assessment, reheat=found, findings=tuple(finding for finding in findings if is_open(finding))
    )
