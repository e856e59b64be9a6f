"""Releasing food that was set aside: the findings, their readings, the food and where it is, and the basis."""

from collections.abc import Sequence
from dataclasses import dataclass

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import StringField

from app import clock, ledger, words
from app.kinds import CorrectiveAction, Entry, Release, temperature_of
from app.kinds.naming import about
from app.kinds.permissions import Permission
from app.rules.day.food_shown import FoodGone, FoodHere
from app.rules.day.food_views import food_by_now, set_aside_at
from app.rules.day.shown import Assessment
from app.rules.facts import Finding
from app.rules.history.versions import effective
from app.server import get_database

from ..kitchen.running_day import now_here
from ..parts.forms import Draft, EntryForm, find_kept, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("releasing", __name__)


class ReleaseForm(EntryForm):
    """What the decision rests on."""

    basis = StringField(_l("What the decision rests on"))

    def entry(self, keys: list[str]) -> Draft:
        """Give the release as an entry."""
        return self.draft("release", findings=keys, basis=self.basis.data)

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about a finding is about the form as a whole."""
        return None if name.startswith("findings") else name


@dataclass(frozen=True, slots=True)
class ReleasePart:
    """One finding of a release: whether it stands, what it rests on, and its food."""

    finding: Finding
    stands: bool
    assessment: Assessment

    @property
    def readings(self) -> tuple[Entry, ...]:
        """The entries it rests on, as they count now."""
        counted = effective(self.assessment.entries, as_of=self.assessment.as_of)
        return tuple(entry for entry in counted if entry.root in self.finding.entries)

    @property
    def read_since(self) -> tuple[Entry, ...]:
        """The readings since then of what its food is in now, as they count now."""
        holders = {one.holder for one in self.here}
        counted = effective(self.assessment.entries, as_of=self.assessment.as_of)
        return tuple(
            entry
            for entry in counted
            if temperature_of(entry) is not None
            and about(entry) in holders
            and entry.observed_at >= self.finding.onset_at
            and entry.root not in self.finding.entries
        )

    @property
    def answers(self) -> tuple[CorrectiveAction, ...]:
        """The corrective actions about it, the newest last."""
        given = self.assessment.answers.get(self.finding.key)
        return given.actions if given else ()

    @property
    def here(self) -> tuple[FoodHere, ...]:
        """Where food is set aside for it now."""
        return set_aside_at(self.assessment, self.finding, self.assessment.as_of)

    @property
    def gone(self) -> tuple[FoodGone, ...]:
        """What of its food is gone."""
        food = self.assessment.food.get(self.finding.key)
        return food.gone if food else ()

    @property
    def releases(self) -> tuple[Release, ...]:
        """The releases that let go of some of it before."""
        released = food_by_now(self.assessment, self.finding).released
        return tuple(entry for entry in released if isinstance(entry, Release))

    @property
    def by(self) -> str:
        """Who released it last, in words."""
        person = self.assessment.site.people.get(self.releases[-1].person)
        return person.name if person else self.releases[-1].person

    @property
    def allowed(self) -> str:
        """What may become of its food, in words."""
        return words.joined([words.disposition_word(one) for one in self.finding.dispositions if one != "already_out"])

    @property
    def may_be_released(self) -> bool:
        """Whether food may be released for it at all."""
        return self.stands and self.finding.may_be_released


@blueprint.route("/release", methods=["GET", "POST"])
@requires(Permission.RELEASE_FOOD)
def release() -> ResponseReturnValue:
    """Release what some findings set aside. What stands no more, or was released before, is said and not released."""
    keys, form = request.args.getlist("finding"), ReleaseForm.of_request()
    found = _parts(keys)
    if not keys or (len(found) < len(keys) and not (request.method == "POST" and _were_opened(keys))):
        abort(404)
    if request.method == "POST" and _is_released(form, keys, found):
        flash(" ".join([_("The food is released."), *_where(found)]))
        return redirect(url_for("home.now"), 303)
    can_be = bool(found) and all(part.may_be_released for part in found)
    return page(
        "review/release.html",
        422 if form.errors_at() else 200,
        parts=found,
        form=form,
        can_be=can_be,
        is_aside=any(part.here for part in found),
    )


def _is_released(form: ReleaseForm, keys: list[str], parts: Sequence[ReleasePart]) -> bool:
    # What is not there or may not be released is refused by the ledger.
    is_for_the_ledger = len(parts) < len(keys) or not all(part.may_be_released for part in parts)
    return (is_for_the_ledger or _has_food(form, parts)) and recorded(form, [form.entry(keys)])


def _has_food(form: ReleaseForm, parts: Sequence[ReleasePart]) -> bool:
    """Whether there is anything to release at the moment that is meant, unless this very form was sent before."""
    with get_database().reading() as session:
        if find_kept(session, form.entry_id.data) is not None:
            return True
    at = form.seen_or_now(clock.utc_now())
    if any(set_aside_at(part.assessment, part.finding, at) for part in parts):
        return True
    form.refuse(None, _("None of this food is set aside at that time. There is nothing to release."))
    return False


def _where(parts: Sequence[ReleasePart]) -> list[str]:
    """Say what held the food just before; nothing where none held any."""
    holders = dict.fromkeys(one.holder for part in parts for one in part.here)
    named = words.joined([words.subject_words(holder) for holder in holders])
    return [_("It is in %(where)s.", where=named)] if named else []


def _were_opened(keys: list[str]) -> bool:
    """Whether the entry that each key names is there: a finding may be gone since the page was opened."""
    with get_database().reading() as session:
        return all(find_kept(session, key.rpartition(":")[2]) is not None for key in keys)


def _parts(keys: list[str]) -> list[ReleasePart]:
    """Give each finding that there is, with the day that tells of it."""
    who = identity.current()
    with get_database().reading() as session:
        found = ledger.find_findings(session, who.site.code, keys, by=who.caller, at=now_here(session))
    return [ReleasePart(*one) for one in found if one is not None]
