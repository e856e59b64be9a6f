"""Equipment as blocks of the log: a cold unit, the hot-holding units, a probe, with their checks."""

from collections.abc import Sequence

from app import words
from app.kinds import ProbeCheck, UnitCheck
from app.rules.day.subjects_shown import ColdUnitView, ProbeView
from app.rules.subjects.saturation import sea_level_reduced
from app.words.marking import gettext as _

from . import day_charts
from .blocks import Block, verdict_words
from .lines import Logbook


def cold_unit_block(unit: ColdUnitView, book: Logbook) -> Block:
    """Write a cold unit's checks."""
    return Block(
        title=_("Cold unit %(unit)s", unit=unit.unit_code),
        verdict=verdict_words(unit.verdict),
        facts=((_("checks"), str(unit.checks)),),
        lines=book.lines(unit.history),
        chart_places=day_charts.of_cold_unit(unit),
    )


def probe_block(probe: ProbeView, book: Logbook) -> Block:
    """Write a probe's checks, with the error of the last one."""
    due = () if probe.due_at is None else ((_("next check due"), book.time(probe.due_at)),)
    error = () if probe.error is None or probe.unit is None else ((_("error"), words.degrees(probe.error, probe.unit)),)
    return Block(
        title=_("Probe %(probe)s", probe=probe.probe),
        verdict=verdict_words(probe.verdict),
        facts=(*error, *due, *_reduced(probe, book)),
        lines=book.lines(_checks_that_count(probe, book)),
        chart_places=day_charts.of_probe(probe, book.assessment),
    )


def _reduced(probe: ProbeView, book: Logbook) -> tuple[tuple[str, str], ...]:
    """Say of a boiling point whose pressure looks reduced to sea level that its reference may be wrong."""
    at_site = book.assessment.site.altitude_m
    pressures = [
        check.pressure_hpa
        for check in _checks_that_count(probe, book)
        if check.pressure_hpa is not None
        and sea_level_reduced(check.pressure_hpa, at_site if check.altitude_m is None else check.altitude_m)
    ]
    said = _("looks like a weather report's, reduced to sea level: the reference may be too high")
    return tuple((_("%(pressure)s hPa", pressure=words.number(each)), said) for each in pressures)


def _checks_that_count(probe: ProbeView, book: Logbook) -> list[ProbeCheck]:
    """Give the day's checks, and the last one before the day: the first readings of the day rest on it."""
    day = book.assessment
    before = [check for check in probe.checks if check.observed_at < day.starts_at]
    return before[-1:] + [check for check in probe.checks if day.starts_at <= check.observed_at < day.ends_at]


def hot_unit_block(checks: Sequence[UnitCheck], book: Logbook) -> Block:
    """Write the checks of all hot-holding units."""
    codes = dict.fromkeys(check.unit_code for check in checks)
    return Block(
        title=_("Hot-holding units"),
        lines=book.lines(checks),
        chart_places=tuple(day_charts.of_hot_unit(code, book.assessment) for code in codes),
        names_subject=True,
    )
