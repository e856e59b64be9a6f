"""A load in the oven: its page, probing a spit, pulling a spit into a tray."""

from dataclasses import dataclass, replace

from flask import Blueprint, abort, flash, make_response, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import HiddenField, RadioField, StringField

from app import words
from app.kinds import SpitLoaded
from app.kinds.permissions import Permission
from app.logs.drawings import Rod, rod
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import BirdState, LoadView, SpitView
from app.rules.meaning import asking
from app.rules.meaning import cooking as meaning
from app.rules.meaning.bands import Bands, Meaning
from app.rules.plans.limits import TemperatureLimit

from ..parts.forms import Draft, count
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import confirming, readings
from .lethality_lines import lethality_lines
from .load_forecast import expected_lines, longest_lines, spit_forecasts
from .next_bird import Probed, following, next_spit, spit_after
from .readings import ReadingForm
from .running_day import assess_today, entries_of
from .set_aside import load_lines

blueprint = Blueprint("cooking", __name__)


class CookReadingForm(ReadingForm):
    """The core temperature of one bird."""

    bird = RadioField(_l("Bird"), validate_choice=False)
    place = RadioField(_l("Place"), validate_choice=False)
    held_s = StringField(_l("Held for (seconds)"))
    then = HiddenField()
    """`pull`: what is typed is saved, then the spit is pulled."""

    def entry(self, view: "SpitPage") -> Draft:
        """Give the reading as an entry."""
        return self.draft(
            "cook_reading",
            load=view.load.load,
            spit=view.spit.spit,
            bird=count(self.bird.data),
            place=self.place.data,
            held_s=count(self.held_s.data),
            **self.reading(identity.current().site),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SpitPage:
    """One spit as its pages show it."""

    assessment: Assessment
    load: LoadView
    spit: SpitView

    def with_(self, after: Assessment) -> "SpitPage":
        """Give the same spit as another assessment shows it."""
        load = next(load for load in after.loads if load.load == self.load.load)
        return replace(self, assessment=after, load=load).of_spit(self.spit.spit)

    def of_spit(self, number: int) -> "SpitPage":
        """Give another spit of the same load."""
        return replace(self, spit=next(spit for spit in self.load.spits if spit.spit == number))

    @property
    def birds(self) -> range:
        """The numbers of the birds on the spit, 1 nearest the drive end."""
        return range(1, self.spit.birds + 1)

    def state(self, bird: int, place: str) -> BirdState | None:
        """Give the latest reading of a bird at a place."""
        return next((state for state in self.spit.latest if (state.bird, state.place) == (bird, place)), None)

    @property
    def rod(self) -> Rod:
        """The spit as it is drawn, with the readings of its birds."""
        return rod(self.load, self.spit)

    @property
    def is_under_limit(self) -> bool:
        """Whether the latest reading of a bird that was probed is under the limit."""
        return meaning.is_under_limit(self.load, self.spit)

    @property
    def not_probed(self) -> str:
        """The places that its plan asks for of birds that were probed, and that were not read, in words."""
        return words.places_words(meaning.places_missing(self.load, self.spit))

    @property
    def limit(self) -> TemperatureLimit:
        """The core temperature that its birds have to reach."""
        return meaning.core_limit(self.load)

    @property
    def places_asked(self) -> str:
        """The places at which its plan asks each bird to be probed, in words."""
        return words.joined([words.place_word(place) for place in meaning.places(self.load)])

    @property
    def asks_for_humidity(self) -> bool:
        """Whether its plan rests on a table whose condition is the humidity in the oven."""
        return meaning.asks_for_humidity(self.load)

    @property
    def dwell_s(self) -> int:
        """For how many seconds that has to be held; 0 where its plan asks for no time."""
        return meaning.dwell_s(self.load)

    def bands(self, unit: str) -> Bands:
        """Give what any number on the pad would mean, in °F or °C."""
        return meaning.core_bands(self.load, unit)

    @property
    def asking(self) -> asking.Asking:
        """What is asked before a reading of one of its birds is kept."""
        return asking.of_bird(self.load, self.spit)

    def meaning_of(self, state: BirdState) -> Meaning:
        """Give what the latest reading of a bird means."""
        return meaning.core_meaning(self.load, state)

    @property
    def why_aside(self) -> list[str]:
        """Say why the birds that come off now are set aside, however hot they are."""
        found = meaning.setting_aside(self.assessment.findings, self.load, self.spit)
        return [words.finding_words(one, self.assessment).sentence for one in found]

    @property
    def discarded(self) -> set[int]:
        """The numbers of the birds that were thrown away when pulled."""
        return {bird for pull in self.spit.pulls for bird in pull.discarded_birds}

    def loaded(self, name: str) -> int:
        """Give how many ties or skewers went on."""
        return sum(getattr(one, name) or 0 for one in self.spit.loadings if isinstance(one, SpitLoaded))

    def to_count_off(self, name: str) -> str:
        """Say how many ties or skewers went on, and how many came off with an earlier part."""
        before = sum(getattr(pull, f"{name}_removed") or 0 for pull in self.spit.pulls)
        if before:
            said = _(
                "%(count)s went on, %(before)s came off before: count them", count=self.loaded(name), before=before
            )
            return str(said)
        return str(_("%(count)s went on: count them", count=self.loaded(name)))


@blueprint.get("/loads/<load>")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def load_page(load: str) -> ResponseReturnValue:
    """Show a load with its spits and readings."""
    assessment = assess_today()
    view = find_load(assessment, load)
    expected = spit_forecasts(assessment, view)
    return page(
        "cooking/load.html",
        view=view,
        assessment=assessment,
        aside=load_lines(assessment, load),
        entries=entries_of(assessment, "load", load),
        expected=[*longest_lines(expected, assessment, view), *expected_lines(expected, assessment)],
        added_up=lethality_lines(view),
        rods={spit.spit: rod(view, spit) for spit in view.spits},
    )


@blueprint.route("/loads/<load>/spits/<int:spit>/probe", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def cook_reading(load: str, spit: int) -> ResponseReturnValue:
    """Probe a bird: what the number means is shown, then it is saved."""
    view = find_spit(load, spit)
    if request.method == "GET":
        return _show_pad(
            view, _form(view, CookReadingForm(data=_presets(view, tapped=request.args.get("bird", type=int))))
        )
    form = _form(view, CookReadingForm(request.form))
    pulls = url_for("pulling.spit_pulled", load=load, spit=spit)
    if form.then.data == "pull" and not form.temperature.data:
        return redirect(pulls, 303)
    draft, pad = form.entry(view), _pad(view)
    if pad.keeps(form, draft):
        readings.remember_probe(draft)
        flash(_("Saved: spit %(spit)s, bird %(bird)s, %(place)s, %(reading)s.", **_said(draft)))
        return redirect(pulls, 303) if form.then.data == "pull" else _lead_on(load, spit)
    return _show_pad(view, form, pad)


def _lead_on(load: str, spit: int) -> ResponseReturnValue:
    """Lead to the next pad; a page that saves without leaving itself is given it at once, with its address."""
    found = find_spit(load, spit)
    view = found.of_spit(spit_after(found.load, found.spit))
    address = url_for("cooking.cook_reading", load=load, spit=view.spit.spit)
    if "X-Exchange" not in request.headers:
        return redirect(address, 303)
    answer = make_response(_show_pad(view, _form(view, CookReadingForm(data=_presets(view)))))
    answer.status_code, answer.headers["Content-Location"] = 201, address
    return answer


def _pad(view: SpitPage) -> confirming.Pad:
    return confirming.Pad(view.asking, view.bands)


def _form(view: SpitPage, form: CookReadingForm) -> CookReadingForm:
    form.bird.choices = {str(bird): str(bird) for bird in view.birds}
    form.place.choices = {place: words.place_word(place) for place in ("breast", "thigh")}
    form.offer_probes(identity.current().site)
    return form


def _presets(view: SpitPage, *, tapped: int | None = None) -> dict[str, str | None]:
    """Give what stands on the pad before anything is typed: the bird that was tapped on its spit, else the next."""
    probed = Probed.of(view.load, view.spit)
    bird, place = (tapped, probed.place_of(tapped)) if tapped in view.birds and tapped else probed.next()
    return {"bird": str(bird), "place": place, **readings.probe_presets()}


def _show_pad(view: SpitPage, form: CookReadingForm, pad: confirming.Pad | None = None) -> ResponseReturnValue:
    other = next_spit(view.load, view.spit.spit)
    return page(
        "cooking/cook_reading.html",
        422 if form.errors_at() else 200,
        view=view,
        form=form,
        pad=pad or _pad(view),
        following=following(view.load, view.spit),
        next_spit=url_for("cooking.cook_reading", load=view.load.load, spit=other) if other else "",
    )


def find_load(assessment: Assessment, name: str) -> LoadView:
    """Give a load of the day; 404 where there is none of that name."""
    return next((load for load in assessment.loads if load.load == name), None) or abort(404)


def find_spit(load: str, spit: int) -> SpitPage:
    """Give a spit of a load of the day; 404 where there is none."""
    assessment = assess_today()
    found = find_load(assessment, load)
    view = next((one for one in found.spits if one.spit == spit), None) or abort(404)
    return SpitPage(assessment=assessment, load=found, spit=view)


def _said(draft: Draft) -> dict[str, object]:
    reading = f"{draft['temperature']} °{draft['unit']}"
    spit = {"spit": draft["spit"], "bird": draft["bird"]}
    return {**spit, "place": words.place_word(draft["place"]), "reading": reading}
