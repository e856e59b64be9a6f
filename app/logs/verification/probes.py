"""The checks of probes as whoever verifies them reads them: each check on a line, and a chart for each probe."""

from collections.abc import Sequence
from decimal import Decimal

from app import words
from app.logs import charts
from app.logs.charts import Chart
from app.rules.facts import Site, Verdict
from app.rules.figures.week import Week
from app.rules.meaning.probes import tolerance
from app.rules.plans.plan import Plan
from app.rules.subjects.probe_checks import CheckResult, reference
from app.words.marking import gettext as _

from ..blocks import verdict_words
from .listing import Listing, Row


def probe_listing(week: Week) -> Listing:
    """Give every probe's checks of a week, with its chart over two months."""
    plan = week.days[-1].plan if week.days else None
    drawn = plan and [
        (probe, probe_chart(probe, checks, week.site, plan)) for probe, checks in week.probes.items() if checks
    ]
    rows = [row for probe, checks in week.probes.items() for row in _of_week(probe, checks, week)]
    head = (_("Probe"), _("Checked"), _("Method"), _("Read"), _("Error"), _("By"))
    return Listing(
        name="probes",
        title=_("Probes and their checks"),
        head=head,
        rows=tuple(rows),
        nothing=_("No probe is listed."),
        foot=_("A chart shows the checks of two months.") if drawn else "",
        charts=tuple(drawn or ()),
    )


def _of_week(probe: str, checks: Sequence[CheckResult], week: Week) -> list[Row]:
    of_week = [check for check in checks if check.entry.observed_at >= week.starts_at]
    if not of_week:
        return [Row(cells=(probe, _("not checked this week"), "–", "–", "–", "–"))]
    return [Row(cells=(probe, *check_cells(one, week.site)), verdict=verdict_words(verdict_of(one))) for one in of_week]


def check_cells(check: CheckResult, site: Site) -> tuple[str, ...]:
    """Give when a probe was checked, how, what it showed, its error and by whom."""
    entry = check.entry
    person = site.author_of(entry)
    read = _("no display") if entry.reading is None else words.measured(entry.reading)
    method = words.method_word(entry.method)
    return (
        words.local_date_time(entry.observed_at, site.timezone),
        _("%(method)s, adjusted", method=method) if entry.adjusted else method,
        read,
        error_words(check),
        person.name if person else entry.person,
    )


def error_words(check: CheckResult) -> str:
    """Give how far off a check was, with its unit; a dash where the display showed nothing."""
    if check.error is None or check.entry.reading is None:
        return "–"
    return words.degrees(round(check.error, 2), check.entry.reading.unit)


def reference_words(check: CheckResult, site: Site) -> str:
    """Give what a true probe would have read, rounded to a hundredth; a dash where the display showed nothing."""
    unit = check.entry.reading.unit if check.entry.reading else None
    return "–" if unit is None else words.degrees(round(reference(check.entry, unit, site), 2), unit)


def verdict_of(check: CheckResult) -> Verdict:
    """Give whether a check passed."""
    return Verdict.MET if check.passes else Verdict.NOT_MET


def allowed_error(probe: str, site: Site, plan: Plan) -> tuple[Decimal, str]:
    """Give how far off a probe may be, and in which unit."""
    scale = site.equipment[probe].scale
    return tolerance(plan, scale=scale, unit="F" if scale == "F" else "C")


def probe_chart(probe: str, checks: Sequence[CheckResult], site: Site, plan: Plan) -> Chart:
    """Draw the checks of a probe against how far off it may be."""
    allowed = allowed_error(probe, site, plan)
    return charts.probe_chart(probe, checks, tolerance=allowed, zone=site.timezone)
