"""The calibration report: every check of a probe in a period, against how far off it may be, for the auditor."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from app import words
from app.rules.facts import Site
from app.rules.plans.plan import Plan
from app.rules.subjects.probe_checks import CheckResult
from app.words.marking import gettext as _
from app.words.marking import ngettext

from ..blocks import verdict_words
from ..heading import paper_size, place_words
from .listing import Listing, Row
from .probes import allowed_error, check_cells, probe_chart, reference_words, verdict_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """All that the report shows: a chapter a probe."""

    language: str
    paper: str
    title: str
    site: str
    place: str
    first: date
    last: date
    period: str
    chapters: tuple[Listing, ...]
    as_of: str
    created: str
    """The instant as PDF metadata takes it."""
    head: tuple[int, str]


def calibration(
    site: Site,
    plan: Plan,
    checks: Mapping[str, Sequence[CheckResult]],
    *,
    days: tuple[date, date],
    as_of: datetime,
    head: tuple[int, str],
) -> Calibration:
    """Put the checks of probes, each by its code, into words; `days` are the first and the last."""
    first, last = days
    period = words.days_words(first, last)
    return Calibration(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("Calibration of probes: %(site)s, %(period)s", site=site.name, period=period),
        site=f"{site.name} ({site.code})",
        place=place_words(site),
        first=first,
        last=last,
        period=period,
        chapters=tuple(_chapter(probe, of_probe, site, plan) for probe, of_probe in checks.items()),
        as_of=words.local_date_time(as_of, site.timezone),
        created=as_of.strftime("%Y-%m-%dT%H:%M:%SZ"),
        head=head,
    )


def _chapter(probe: str, checks: Sequence[CheckResult], site: Site, plan: Plan) -> Listing:
    allowed, unit = allowed_error(probe, site, plan)
    passed = sum(check.passes for check in checks)
    count = ngettext(
        "%(num)s check, %(passed)s passed", "%(num)s checks, %(passed)s passed", len(checks), passed=passed
    )
    scale = site.equipment[probe].scale
    return Listing(
        name=f"probe-{probe}",
        title=_("Probe %(probe)s", probe=probe),
        head=(_("Checked"), _("Method"), _("Reference"), _("Read"), _("Error"), _("By")),
        rows=tuple(_row(check, site) for check in checks),
        nothing=_("No check of this probe is recorded in these days."),
        foot=_(
            "Display: %(scale)s. It may be off by %(allowed)s (FDA Food Code 4-203.11).",
            scale=words.scale_word(scale) if scale else "–",
            allowed=words.degrees(allowed, unit),
        ),
        count=count if checks else "",
        charts=((probe, probe_chart(probe, checks, site, plan)),) if checks else (),
    )


def _row(check: CheckResult, site: Site) -> Row:
    checked, method, read, error, by = check_cells(check, site)
    cells = (checked, method, reference_words(check, site), read, error, by)
    return Row(cells=cells, verdict=verdict_words(verdict_of(check)))
