"""The food of a week that was set aside, and the corrective actions that were sent back."""

from collections.abc import Sequence

from app import words
from app.rules.day.shown import Assessment
from app.rules.facts import Finding
from app.rules.figures.week import Week
from app.words.marking import gettext as _

from ..lines import Logbook
from ..paper.food import FoodRow, food_row
from .listing import Listing, counted, finding_row


def aside_listing(week: Week, books: Sequence[Logbook]) -> Listing:
    """Give the food that was set aside, where it is and how each ended."""
    of_day = {book.assessment.day: book for book in books}
    mended = {one.finding.key for day in week.days for one in day.cleared}
    rows = []
    for day, finding, food in week.set_aside:
        row = food_row(finding, food, "", of_day[day.day])
        where, how = _ended(row)
        if finding.key in mended:
            how = _("%(how)s. Gone since an entry was corrected", how=how)
        rows.append(finding_row(day, finding, row.about, where, how))
    head = (_("Day"), _("Why"), _("Set aside"), _("Where it is now"), _("How it ended"))
    nothing = _("The records show no food that was set aside.")
    return Listing(
        name="aside",
        title=_("Food set aside, and how each ended"),
        head=head,
        rows=tuple(rows),
        nothing=nothing,
        count=counted(tuple(rows)),
    )


def _ended(row: FoodRow) -> tuple[str, str]:
    released = [_("released: %(by)s", by=by) for by in row.released]
    here = "; ".join(row.here) or (_("set aside no longer") if row.released else _("nothing left"))
    return here, "; ".join([*row.made_good, *row.gone, *released]) or "–"


def sent_back_listing(week: Week) -> Listing:
    """Give the corrective actions that were sent back, and how they stand."""
    rows = tuple(finding_row(day, one, *_came_back(day, one)) for day, one in week.sent_back)
    head = (_("Day"), _("Finding"), _("What was missing"), _("How it stands"))
    nothing = _("No corrective action was sent back.")
    title = _("Corrective actions that were sent back")
    return Listing(name="back", title=title, head=head, rows=rows, nothing=nothing, count=counted(rows))


def _came_back(day: Assessment, finding: Finding) -> tuple[str, str]:
    given = day.answers[finding.key]
    book = Logbook(day)
    remarks = [
        _("%(by)s, %(at)s: %(remark)s", by=book.by(one), at=book.seen_and_written(one), remark=one.remark or "–")
        for one in given.verifications
        if one.outcome == "sent_back"
    ]
    return "; ".join(remarks), words.status_word("sent_back" if given.sent_back else finding.status)
