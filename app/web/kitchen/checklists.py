"""The other checks of a day on one page, the opening and closing checklists, and taking charge."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import BooleanField, HiddenField, RadioField, TextAreaField

from app import words
from app.kinds import Checklist, SoundTest, Subject, of_kind
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment
from app.rules.history.versions import effective

from ..parts.forms import Draft, EntryForm, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires
from . import cooling
from .not_put_away import not_put_away, page_of, where_words
from .probes import ProbeLine, probe_lines
from .running_day import assess_today, lead_on
from .silencing import SoundForm, say_if_silent
from .starting import ChecksForm
from .storage import UnitLine, unit_lines

blueprint = Blueprint("checklists", __name__)

_LISTS: Mapping[str, str] = {"opening": "opening_checks", "closing": "closing_checks"}
_PUT_AWAY = "food_put_away"
"""The item about which the records know something: what still holds birds."""


class ChecklistForm(ChecksForm, SoundForm):
    """The answers to an opening or closing checklist; a no asks what was done. Opening tests the sound, too."""

    sound_offered = HiddenField()
    """Set by the script, which alone can play the tone: then the answer is asked for."""

    done = TextAreaField(_l("What was done about each “no”"))
    done_phrase = RadioField(validate_choice=False, choices=words.checklist_phrases)

    put_away_anyway = BooleanField(_l("They are put away. That is not recorded yet."))
    held: Sequence[Subject] = ()
    """What holds birds out of cold storage by the records, while the list is gone through."""

    def entry(self, name: str) -> Draft:
        """Give the checklist as an entry; what was done about a no, and what it says against the records, stand in
        its remark."""
        said = (self.says_done if self.has_no else None, self._said_of_held(), self.note.data)
        note = "\n".join(filter(None, said)) or None
        return self.draft("checklist", list=name, items=self.answers()) | {"note": note}

    def entries(self, name: str) -> list[Draft]:
        """Give the checklist, and the test of the sound where it was answered."""
        return [self.entry(name), *([self.sound_test(1)] if self.heard.data else [])]

    @property
    def has_no(self) -> bool:
        """Whether a check was answered no."""
        return any(answer is False for answer in self.answers().values())

    @property
    def says_done(self) -> str:
        """What was done: typed, else the phrase that was tapped."""
        return (self.done.data or "").strip() or self.done_phrase.data or ""

    @property
    def is_against_records(self) -> bool:
        """Whether all food is said to be put away while something holds birds."""
        return bool(self.held) and self.answers().get(_PUT_AWAY) is True

    def _said_of_held(self) -> str | None:
        return (
            _("By the records birds were still in %(where)s.", where=where_words(self.held))
            if self.is_against_records
            else None
        )

    def is_done(self) -> bool:
        """Whether every no was followed by what was done, what is against the records was meant, and the tone was
        listened to; errors at their fields."""
        if self.is_against_records and not self.put_away_anyway.data:
            still = _("Birds are still in %(where)s. Answer no, or tick this.", where=where_words(self.held))
            self.refuse("put_away_anyway", still)
        if self.has_no and not self.says_done:
            self.refuse("done", _("A check is answered no. Choose what was done about it."))
        if self.sound_offered.data and not self.heard.data:
            self.refuse("heard", _("Play the tone, then say whether you heard it."))
        return not self.errors_at()


@dataclass(frozen=True, slots=True, kw_only=True)
class ChecksPage:
    """What there is to check besides the spits and trays, and how far it is."""

    assessment: Assessment
    probes: list[ProbeLine]
    units: list[UnitLine]
    batches: list[cooling.BatchPage]
    lists: Mapping[str, Checklist | None]
    """Each list with its newest answers of the day."""
    sound: SoundTest | None
    """The newest test of the sound of the day; None where there was none."""

    def noes(self, answered: Checklist | None) -> str:
        """The checks that were answered no, in words; empty for none."""
        items = answered.items if answered else {}
        return words.joined([words.check_words(item).title for item, answer in items.items() if answer is False])

    @property
    def probes_due(self) -> list[str]:
        """The probes whose check is due."""
        return [line.equipment.code for line in self.probes if line.is_due(self.assessment)]

    @property
    def units_owed(self) -> list[str]:
        """The units with fewer checks than the plan asks for in a day."""
        return [line.equipment.code for line in self.units if line.done < line.owed]

    @property
    def cooling(self) -> list[str]:
        """The batches that still cool."""
        return [words.short_name(one.batch.batch) for one in self.batches if one.is_cooling]

    @property
    def in_charge(self) -> str:
        """The name of who took charge; empty for nobody."""
        login = self.assessment.in_charge
        person = self.assessment.site.people.get(login) if login else None
        return person.name if person else login or ""

    @property
    def is_in_charge(self) -> bool:
        """Whether that is who is at the screen."""
        somebody = identity.current().somebody
        return somebody is not None and somebody.login == self.assessment.in_charge


@blueprint.get("/checks")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def index() -> ResponseReturnValue:
    """Show the other checks of the day and how far they are."""
    assessment = assess_today()
    view = ChecksPage(
        assessment=assessment,
        probes=probe_lines(),
        units=unit_lines(assessment),
        batches=[cooling.batch_page_of(assessment, one.batch) for one in assessment.batches],
        lists={name: _answered(assessment, name) for name in _LISTS},
        sound=_sound_tested(assessment),
    )
    return page("checklists/index.html", view=view, form=EntryForm.of_request())


@blueprint.route("/checklists/<name>", methods=["GET", "POST"])
@requires(Permission.RECORD_KITCHEN_ENTRY)
def checklist(name: str) -> ResponseReturnValue:
    """Go through the opening or closing checks."""
    assessment = assess_today()
    items = assessment.plan.items(_LISTS[name]) if name in _LISTS else abort(404)
    form = ChecklistForm.of_request(checks=[{"item": item} for item in items])
    form.held = not_put_away(assessment)
    if request.method == "POST" and form.is_done() and recorded(form, form.entries(name)):
        say_if_silent(form)
        flash(_("Saved: %(kind)s.", kind=words.list_word(name)))
        return redirect(lead_on(form, url_for("checklists.index")), 303)
    checks = {item: words.check_words(item) for item in items}
    view = {"name": name, "checks": checks, "form": form, "record_at": page_of}
    return _shown("checklists/checklist.html", form, view)


@blueprint.post("/in-charge")
@requires(Permission.TAKE_CHARGE)
def in_charge_from() -> ResponseReturnValue:
    """Take charge from now on."""
    form = EntryForm.of_request()
    if recorded(form, [form.draft("in_charge_from")]):
        flash(_("You are in charge from now on."))
    for error in form.errors_at():
        flash(error.text, "error")
    return redirect(url_for("checklists.index"), 303)


def _sound_tested(assessment: Assessment) -> SoundTest | None:
    tests = of_kind(effective(assessment.entries, as_of=assessment.as_of), SoundTest)
    return next((one for one in reversed(tests) if one.observed_at >= assessment.starts_at), None)


def _answered(assessment: Assessment, name: str) -> Checklist | None:
    found = [
        entry
        for entry in assessment.entries
        if isinstance(entry, Checklist)
        and entry.id not in assessment.superseded_by
        and entry.list == name
        and entry.observed_at >= assessment.starts_at
    ]
    return max(found, key=lambda entry: entry.observed_at, default=None)


def _shown(template: str, form: EntryForm, view: Mapping[str, object]) -> ResponseReturnValue:
    return page(template, 422 if form.errors_at() else 200, **view)
