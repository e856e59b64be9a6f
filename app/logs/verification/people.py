"""The people of a week: whose work was watched, and whose training is missing."""

from app import words
from app.rules.facts import Verdict
from app.rules.figures.week import Untrained, Week
from app.words.marking import gettext as _

from ..blocks import verdict_words
from .listing import Listing, Row, counted


def observed_listing(week: Week) -> Listing:
    """Give the work that somebody watched."""
    names = {login: person.name for login, person in week.site.people.items()}
    rows = tuple(
        Row(
            cells=(
                words.local_time(one.observed_at, week.site.timezone, day=week.first),
                names.get(one.whom, one.whom),
                words.watched_word(one.watched),
                words.outcome_word(one.outcome),
                one.remark or "–",
                names.get(one.person, one.person),
            )
        )
        for one in week.observed
    )
    return Listing(
        name="observed",
        title=_("Work observed"),
        head=(_("When"), _("Whom"), _("What"), _("Outcome"), _("Remark"), _("By")),
        rows=rows,
        nothing=_("No work was observed this week. One look at a probing a week shows how it is done."),
        count=counted(rows),
    )


def training_listing(week: Week) -> Listing:
    """Give who worked without a training on record that holds."""
    return Listing(
        name="training",
        title=_("Trainings missing or run out"),
        head=(_("Who worked this week"), _("Training")),
        rows=tuple(_untrained_row(one) for one in week.untrained),
        nothing=_("Everybody who worked this week has a valid training on record."),
        count=str(len(week.untrained)) if week.untrained else "",
    )


def _untrained_row(one: Untrained) -> Row:
    ran_out = _("ran out on %(day)s", day=words.day_words(one.until)) if one.until else _("none on record")
    return Row(cells=(one.person.name, ran_out), verdict=verdict_words(Verdict.NOT_SHOWN))
