"""Releasing food that was set aside: the findings, their readings, the food and where it is, and the basis."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import timedelta

from flask import Blueprint, abort, flash, redirect, request, url_for
from flask.typing import ResponseReturnValue
from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l
from wtforms import StringField

from app import clock, ledger, words
from app.kinds import Entry
from app.kinds.permissions import Permission
from app.rules.day.shown import Assessment, Food
from app.rules.facts import Finding
from app.rules.history.versions import effective
from app.server import get_database

from ..parts.forms import Draft, EntryForm, recorded
from ..parts.pages import page
from ..signin import identity
from ..signin.identity import requires

blueprint = Blueprint("releasing", __name__)

_DAYS_BACK = 10
"""How many days back a finding may be of: no food is kept for longer."""


class ReleaseForm(EntryForm):
    """What the decision rests on."""

    basis = StringField(_l("What the decision rests on"))

    def entry(self, keys: list[str]) -> Draft:
        """Give the release as an entry."""
        return self.draft("release", findings=keys, basis=self.basis.data)

    def field_of(self, index: int, name: str) -> str | None:
        """Give the field of an error; one about a finding is about the form as a whole."""
        return None if name.startswith("findings") else name


@dataclass(frozen=True, slots=True, kw_only=True)
class ReleasePart:
    """One finding of a release: where it stands, what it rests on, and its food."""

    finding: Finding
    assessment: Assessment

    @property
    def readings(self) -> tuple[Entry, ...]:
        """The entries it rests on, as they count now."""
        counted = effective(self.assessment.entries, as_of=self.assessment.as_of)
        return tuple(entry for entry in counted if entry.root in self.finding.entries)

    @property
    def food(self) -> Food:
        """What became of its food."""
        return self.assessment.food[self.finding.key]

    @property
    def here(self) -> str:
        """Where its food is, in words."""
        held = [f"{words.subject_words(one.holder)}: {words.birds(one.birds)}" for one in self.food.here]
        return words.joined(held) or _("none of it is here")


@blueprint.route("/release", methods=["GET", "POST"])
@requires(Permission.RELEASE_FOOD)
def release() -> ResponseReturnValue:
    """Release what some findings set aside."""
    keys = request.args.getlist("finding")
    parts = list(_parts(keys))
    if not keys or len(parts) != len(keys):
        abort(404)
    form = ReleaseForm.of_request()
    if request.method == "POST" and recorded(form, [form.entry(keys)]):
        flash(_("The food is released."))
        return redirect(url_for("home.now"), 303)
    return page("review/release.html", 422 if form.errors_at() else 200, parts=parts, form=form)


def _parts(keys: list[str]) -> Iterable[ReleasePart]:
    """Find each finding in the days that may tell of it, the newest first."""
    at, site = clock.utc_now(), identity.current().site.code
    wanted = set(keys)
    with get_database().reading() as session:
        today = ledger.today(session, site, at)
        for back in range(_DAYS_BACK + 1):
            if not wanted:
                return
            assessment = ledger.assess_day(session, site, today - timedelta(days=back), as_of=at)
            for finding in assessment.findings:
                if finding.key in wanted and finding.may_be_released:
                    wanted.discard(finding.key)
                    yield ReleasePart(finding=finding, assessment=assessment)
