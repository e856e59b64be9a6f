"""Short stories of a day for the tests of the rules: what was seen, and what the assessment says of it."""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from app.kinds import Entry
from app.rules.day.shown import Assessment
from app.rules.facts import Finding
from app.rules.plans import plan
from tests.support.cast import ADOPTED, DAY, OPENED, entry, moment
from tests.support.set_up import assess


def adopted(**settings: str) -> plan.Adopted:
    """Give the plan of the cast with settings on top, e.g. `controls="cooking,holding"`."""
    return plan.Adopted(1, ADOPTED.code, tuple(settings.items()), "pat", OPENED)


def told(entries: Iterable[Entry], *, as_of: str | datetime = "20:00", plans: Any = None, **options: Any) -> Assessment:
    """Assess the day of the cast at a time of day."""
    at = moment(as_of) if isinstance(as_of, str) else as_of
    return assess(options.pop("day", DAY), list(entries), plans=plans or [ADOPTED], as_of=at, **options)


def found(assessment: Assessment, rule: str) -> list[Finding]:
    """Give the findings of one rule, in order."""
    return [finding for finding in assessment.findings if finding.rule == rule]


def verdict_of(assessment: Assessment, rule: str) -> str:
    """Give the verdict of a rule's only finding, or `none`."""
    findings = found(assessment, rule)
    assert len(findings) <= 1, findings
    return str(findings[0].verdict) if findings else "none"


def loaded(*, birds: int = 5, at: str | datetime = "09:00", load: str = "A-L1", **fields: Any) -> list[Entry]:
    """A load started, with one spit of birds."""
    return [entry("load_started", at=at, load=load), entry("spit_loaded", at=at, load=load, birds=birds, **fields)]


def probed(*temperatures: str, at: str | datetime = "10:30", unit: str = "F", **fields: Any) -> list[Entry]:
    """Birds 1, 2, 3 … probed in the breast at one moment."""
    return [
        entry("cook_reading", at=at, bird=bird, temperature=value, unit=unit, **fields)
        for bird, value in enumerate(temperatures, start=1)
    ]


def hot_tray(
    *,
    birds: int = 5,
    pulled: str | datetime = "10:35",
    probed_at: str | datetime = "10:30",
    load: str = "A-L1",
    tray: str = "A-T1",
) -> list[Entry]:
    """A tray of birds pulled hot, known hot at `probed_at`."""
    pull = entry("spit_pulled", at=pulled, birds=birds, load=load, tray=tray)
    return [*loaded(birds=birds, load=load), *probed("170", "171", at=probed_at, load=load), pull]


def read(temperature: str, at: str, unit: str = "F", tray: str = "A-T1") -> Entry:
    """A hold reading."""
    return entry("hold_reading", at=at, temperature=temperature, unit=unit, tray=tray)


def out(birds: str, at: str, to: str = "served", tray: str = "A-T1", **fields: Any) -> Entry:
    """Birds out of a tray."""
    return entry("tray_out", at=at, birds=birds, to=to, tray=tray, **fields)


def checked(temperature: str, at: str | datetime, *, of: str = "air", code: str = "walk-in", **fields: Any) -> Entry:
    """A check of a cold or hot unit, of its air or of food in it."""
    return entry("unit_check", at=at, temperature=temperature, unit_code=code, of=of, **fields)


def probe_check(
    temperature: str = "32", at: str | datetime = "06:00", unit: str = "F", probe: str = "blue", **fields: Any
) -> Entry:
    """A check of a probe in ice."""
    return entry("probe_check", at=at, temperature=temperature, unit=unit, probe=probe, **fields)


def no_display(at: str | datetime = "06:00", probe: str = "blue") -> Entry:
    """A check of a probe that shows nothing."""
    return entry("probe_check", at=at, temperature=..., unit=..., probe=probe, no_display=True)


def on_day(clock: str, days: int = 0) -> datetime:
    """A time of day, so many days after the day of the cast."""
    return moment(clock, day=DAY + timedelta(days=days))
