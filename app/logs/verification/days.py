"""The days of a week, the checks that were missed and what stands out."""

from app import words
from app.rules.day.shown import Assessment, Pattern
from app.rules.facts import Verdict
from app.rules.figures.week import Week
from app.words.marking import gettext as _

from .listing import Listing, Row, counted, finding_row


def day_listing(week: Week) -> Listing:
    """Give the days of a week: who signed each, its critical readings, and what was not met or not shown."""
    head = (_("Day"), _("Signed"), _("Critical readings"), _("Late"), _("Not met"), _("Not recorded"))
    rows = tuple(_day_row(day) for day in week.days)
    return Listing(name="days", title=_("Days"), head=head, rows=rows, nothing=_("This week has not begun."))


def _day_row(day: Assessment) -> Row:
    verdicts = [one.verdict for one in day.findings]
    counts = (str(verdicts.count(one)) for one in (Verdict.NOT_MET, Verdict.NOT_SHOWN))
    cells = (words.day_words(day.day), _day_signed(day), str(day.late.readings), str(day.late.late), *counts)
    return Row(cells=cells, day=day.day)


def _day_signed(day: Assessment) -> str:
    signed = day.signed
    if signed is None:
        return _("no entries") if not day.entries else _("in progress") if day.running else _("not signed")
    at = words.local_time(signed.at, day.site.timezone, day=day.day)
    said = _("%(name)s, %(at)s", name=signed.signer_name, at=at)
    if signed.by_maker:
        said = _("%(said)s (made records of the day)", said=said)
    return _("%(said)s; changed since", said=said) if signed.stale else said


def missed_listing(week: Week) -> Listing:
    """Give the checks that were due and that the records do not show."""
    rows = tuple(finding_row(day, one) for day, one in week.missed)
    head = (_("Day"), _("Check"), _("What the records show"))
    nothing = _("The records show every check that was due.")
    return Listing(name="missed", title=_("Missed checks"), head=head, rows=rows, nothing=nothing, count=counted(rows))


def pattern_listing(week: Week) -> Listing:
    """Give what stands out in how readings were written."""

    def row(day: Assessment, pattern: Pattern) -> Row:
        return Row(cells=(words.day_words(day.day), words.pattern_words(pattern)), day=day.day)

    rows = tuple(row(day, pattern) for day in week.days for pattern in day.patterns)
    return Listing(
        name="patterns",
        title=_("Worth a second look"),
        head=(_("Day"), _("What stands out")),
        rows=rows,
        nothing=_("Nothing stands out in how the readings were written."),
        foot=_("Pointed out by the program. It is no verdict.") if rows else "",
        count=counted(rows),
    )
