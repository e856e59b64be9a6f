"""A day's assessment in the exchange format: every field by its name there, and nothing decided here."""

from collections.abc import Mapping
from typing import Any

from app.kinds import Entry, Subject, Temperature
from app.kinds.reading import fields_of
from app.rules import facts
from app.rules.day import food_shown, shown, subjects_shown
from app.rules.day.shown import Assessment

from .encoding import plain


def day_json(assessment: Assessment) -> dict[str, Any]:
    """Give the whole answer to `GET …/days/{day}`, ready to be written as JSON."""
    a = assessment
    return {
        "site": a.site.code,
        "day": plain(a.day),
        "as_of": plain(a.as_of),
        "through_seq": a.through_seq,
        "plan": _plan(a),
        "entries": [_entry(entry, a.superseded_by) for entry in a.entries],
        "loads": [_load(load) for load in a.loads],
        "trays": [_tray(tray) for tray in a.trays],
        "batches": [_batch(batch) for batch in a.batches],
        "reheats": [_reheat(reheat) for reheat in a.reheats],
        "probes": [_named(probe, "probe", "verdict", "error", "unit", "due_at") for probe in a.probes],
        "cold_units": [_cold_unit(unit) for unit in a.cold_units],
        "receiving": [_receiving(delivery) for delivery in a.receiving],
        "findings": [_finding(finding, a.food) for finding in a.findings],
        "cleared": [_cleared(cleared, a.food) for cleared in a.cleared],
        "birds": plain(a.birds),
        "ready_to_sign": a.ready_to_sign,
        "blocking": [_blocking(blocking) for blocking in a.blocking],
        "signed": _signed(a.signed),
        "patterns": [{"pattern": one.pattern, "entries": [entry.root for entry in one.entries]} for one in a.patterns],
        "late": plain(a.late),
    }


def _named(value: object, *names: str) -> dict[str, Any]:
    return {name: plain(getattr(value, name)) for name in names}


def _plan(a: Assessment) -> dict[str, Any]:
    return {**_named(a.plan, "code", "version", "adopted_by"), "start_checks": list(a.plan.items("start_checks"))}


def _entry(entry: Entry, superseded_by: Mapping[str, str]) -> dict[str, Any]:
    shown = _named(entry, "seq", "id", "kind", "observed_at", "recorded_at", "person", "via", "late")
    if entry.amends is not None:
        shown["amends"] = entry.amends
    if entry.withdrawn:
        shown["withdrawn"] = True
    return {**shown, **plain(fields_of(entry)), "superseded_by": superseded_by.get(entry.id)}


def _load(load: subjects_shown.LoadView) -> dict[str, Any]:
    spits = [_spit(spit) for spit in load.spits]
    return {**_named(load, "load", "oven", "started_at"), "plan_version": load.plan.version, "spits": spits}


def _spit(spit: subjects_shown.SpitView) -> dict[str, Any]:
    return {
        **_named(spit, "spit", "birds", "lots", "verdict", "birds_probed"),
        "lowest": _temperature(spit.lowest),
        **_named(spit, "pulled_at", "trays"),
        "set_aside": _set_aside(spit.set_aside),
    }


def _tray(tray: subjects_shown.TrayView) -> dict[str, Any]:
    held = ("tray", "hot_unit", "birds_in", "birds_left", "verdict", "known_hot_at", "check_due_at")
    shown = _named(tray, *held, "out_of_temperature_s", "time_band", "discard_at")
    return {**shown, "set_aside": _set_aside(tray.set_aside)}


def _batch(batch: subjects_shown.BatchView) -> dict[str, Any]:
    return {
        **_named(batch, "batch", "birds_in", "birds_left"),
        "first_stage": _stage(batch.first_stage),
        "total": _stage(batch.total),
        "use_by": plain(batch.use_by),
        "product": batch.product,
        "set_aside": _set_aside(batch.set_aside),
    }


def _stage(stage: subjects_shown.StageView | None) -> dict[str, Any] | None:
    return None if stage is None else _named(stage, "verdict", "due_at")


def _reheat(reheat: subjects_shown.ReheatView) -> dict[str, Any]:
    rest = _named(reheat, "birds_in", "birds_left", "verdict", "started_at", "due_at")
    return {"reheat": reheat.reheat, "from": reheat.source.name, **rest, "set_aside": _set_aside(reheat.set_aside)}


def _set_aside(aside: food_shown.SetAsideView | None) -> dict[str, Any] | None:
    return None if aside is None else _named(aside, "since", "findings", "cleared", "ways", "release")


def _food(food: food_shown.Food) -> dict[str, Any]:
    return {
        "here": [{**_subject(one.holder), "birds": plain(one.birds)} for one in food.here],
        "gone": [_named(one, "to", "birds", "at") for one in food.gone],
    }


def _cold_unit(unit: subjects_shown.ColdUnitView) -> dict[str, Any]:
    shown = _named(unit, "unit_code", "verdict", "checks")
    if unit.last is None:
        return {**shown, "last": None}
    of, at = unit.last.of, plain(unit.last.observed_at)
    return {**shown, "last": {**(_temperature(unit.last.reading) or {}), "of": of, "at": at}}


def _receiving(delivery: subjects_shown.ReceivingView) -> dict[str, Any]:
    return _named(delivery, "lot", "product", "supplier", "birds", "decision", "verdict")


def _finding(finding: facts.Finding, food: Mapping[str, food_shown.Food]) -> dict[str, Any]:
    judged = ("verdict", "concerns", "day", "onset_at", "found_at", "ended_at", "entries", "measured", "limit")
    shown = {
        **_named(finding, "key", "rule"),
        "subject": _subject(finding.subject),
        **_named(finding, *judged, "source", "dispositions", "status"),
    }
    return {**shown, "food": _food(food[finding.key])} if finding.key in food else shown


def _cleared(cleared: facts.Cleared, food: Mapping[str, food_shown.Food]) -> dict[str, Any]:
    return {**_finding(cleared.finding, food), "mended_by": cleared.mended_by.id}


def _blocking(blocking: shown.Blocking) -> dict[str, Any]:
    shown = {"kind": blocking.kind, "subject": _subject(blocking.subject)}
    return shown if blocking.key is None else {**shown, "key": blocking.key}


def _signed(signed: shown.Signed | None) -> dict[str, Any] | None:
    if signed is None:
        return None
    return _named(signed, "seq", "covers_seq", "covers_hash", "signer_name", "at", "stale")


def _subject(subject: Subject) -> dict[str, Any]:
    shown: dict[str, Any] = {"kind": subject.kind, "name": subject.name}
    return shown if subject.spit is None else {**shown, "spit": subject.spit}


def _temperature(temperature: Temperature | None) -> dict[str, Any] | None:
    return None if temperature is None else {"temperature": plain(temperature.value), "unit": temperature.unit}
