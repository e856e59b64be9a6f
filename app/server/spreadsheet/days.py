"""Tables made from the assessment of each day: days, spits, trays and findings."""

from collections.abc import Iterator
from datetime import datetime

from app.kinds import Temperature
from app.rules.day.shown import Assessment
from app.rules.facts import Answers, Finding, Verdict

from .cells import Row
from .entries import hours

_NOBODY = Answers()
_NEVER = (None, None)
"""Local time and offset of what did not happen."""

DAYS: Row = (
    *("business_day", "state", "signed_by", "signed_local_time", "utc_offset_h", "signed_by_maker", "entries"),
    *("critical_readings", "late", "not_met", "not_shown", "patterns", "set_aside"),
    *("loaded", "pulled", "served", "prepared", "donated", "discarded", "chilled", "reheated", "returned_to_oven"),
)
LOADS: Row = (
    *("business_day", "load", "oven", "started_local_time", "utc_offset_h", "spit", "birds", "lots", "birds_probed"),
    *("lowest_F", "lowest_C", "pulled_local_time", "pulled_utc_offset_h", "trays", "verdict", "set_aside"),
)
TRAYS: Row = (
    *("business_day", "tray", "opened_local_time", "utc_offset_h", "hot_unit", "birds_in", "birds_left", "readings"),
    *("lowest_F", "lowest_C", "under_limit", "out_of_temperature_min", "verdict", "set_aside"),
)
FINDINGS: Row = (
    *("business_day", "rule", "about_kind", "about", "verdict", "concerns", "onset_local_time", "utc_offset_h"),
    *("ended_local_time", "ended_utc_offset_h", "status", "actions", "sent_back", "sets_aside"),
    *("gone_after_correction", "source", "key"),
)


def day_rows(day: Assessment) -> Iterator[Row]:
    """Give the row of a day; none where nothing is recorded of it."""
    if not day.entries:
        return
    verdicts = [finding.verdict for finding in day.findings]
    signed, birds = day.signed, day.birds
    yield (
        day.day.isoformat(),
        state(day),
        signed.signer_name if signed else None,
        *(local(signed.at, day) if signed else _NEVER),
        _yes(signed.by_maker) if signed else None,
        sum(day.starts_at <= entry.observed_at < day.ends_at for entry in day.entries),
        *(day.late.readings, day.late.late),
        *(verdicts.count(Verdict.NOT_MET), verdicts.count(Verdict.NOT_SHOWN), len(day.patterns), len(day.food)),
        *(birds.loaded, birds.pulled, birds.served, birds.prepared, birds.donated, birds.discarded),
        *(birds.chilled, birds.reheated, birds.returned_to_oven),
    )


def state(day: Assessment) -> str:
    """Give how a day stands: signed, changed since it was signed, running, not signed."""
    if day.signed is not None:
        return "changed" if day.signed.stale else "signed"
    return "running" if day.running else "not_signed"


def loads(day: Assessment) -> Iterator[Row]:
    """Give a row for each spit of a load that was started in the day."""
    for load in day.loads:
        if day.starts_at <= load.started_at < day.ends_at:
            started = (day.day.isoformat(), load.load, load.oven, *local(load.started_at, day))
            for spit in load.spits:
                pulled = local(spit.pulled_at, day) if spit.pulled_at else _NEVER
                probed = (spit.spit, spit.birds, " ".join(spit.lots), spit.birds_probed, *_degrees(spit.lowest))
                yield (*started, *probed, *pulled, " ".join(spit.trays), spit.verdict.value, _yes(bool(spit.set_aside)))


def trays(day: Assessment) -> Iterator[Row]:
    """Give a row for each tray that the day shows; the readings are those of the day."""
    for tray in day.trays:
        held = [one for one in tray.held if day.starts_at <= one.entry.observed_at < day.ends_at]
        lowest = min((one.entry.reading for one in held), key=lambda read: read.celsius, default=None)
        yield (
            *(day.day.isoformat(), tray.tray, *local(tray.opened_at, day), tray.hot_unit),
            *(tray.birds_in, tray.birds_left, len(held), *_degrees(lowest), sum(one.is_low for one in held)),
            *(tray.out_of_temperature_s // 60, tray.verdict.value, _yes(bool(tray.set_aside))),
        )


def findings(day: Assessment) -> Iterator[Row]:
    """Give a row for each finding of the day, of those that a correction made go away, too."""
    for finding in day.findings:
        yield _finding(finding, day, is_gone=False)
    for one in day.cleared:
        yield _finding(one.finding, day, is_gone=True)


def _finding(finding: Finding, day: Assessment, *, is_gone: bool) -> Row:
    given = day.answers.get(finding.key, _NOBODY)
    return (
        *(day.day.isoformat(), finding.rule, finding.subject.kind, finding.subject.label, finding.verdict.value),
        *(finding.concerns.value, *local(finding.onset_at, day)),
        *(local(finding.ended_at, day) if finding.ended_at else _NEVER),
        *(finding.status.value, len(given.actions), sum(one.outcome == "sent_back" for one in given.verifications)),
        *(_yes(finding.key in day.food), _yes(is_gone), finding.source, finding.key),
    )


def local(at: datetime, day: Assessment) -> tuple[str, str]:
    """Give a moment on the kitchen's clock, and its offset from UTC."""
    text = at.astimezone(day.site.timezone).isoformat(" ", "seconds")
    return text[:19], hours(text[19:])


def _degrees(reading: Temperature | None) -> Row:
    if reading is None:
        return (None, None)
    return (reading.value, None) if reading.unit == "F" else (None, reading.value)


def _yes(value: bool) -> str:
    return "yes" if value else "no"
