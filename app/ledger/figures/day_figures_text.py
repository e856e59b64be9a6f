"""The figures of a day as compact text and back: moments in milliseconds, temperatures in hundredths of a degree."""

import json
from datetime import date
from decimal import Decimal
from typing import Any

from app.db import milliseconds, moment
from app.kinds import Subject, Temperature
from app.rules.facts import Concern, Verdict
from app.rules.figures.day_figures import (
    CookFigure,
    CookingSum,
    DayFigures,
    DiscardFigure,
    FoundFigure,
    HeldFigure,
    HoldingSum,
    Standing,
)

_VERDICTS = {str(verdict): verdict for verdict in Verdict}
_CONCERNS = {str(concern): concern for concern in Concern}


def sums_text(day: DayFigures) -> str:
    """Give what trends add up: findings, what was thrown away, and the sums of readings and of spits."""
    found = [
        [one.rule, *one.subject, one.verdict, one.concerns, one.key, milliseconds(one.onset_at), one.hour]
        for one in day.found
    ]
    discarded = [[*one.source, one.reason, one.quarters, milliseconds(one.seen_at), one.entry] for one in day.discarded]
    return _text([found, discarded, day.holding, day.cooking, day.standing])


def details_text(day: DayFigures) -> str:
    """Give the single readings and spits behind the sums."""
    held = [
        [one.hot_unit, one.tray, milliseconds(one.seen_at), *_reading(one.reading), int(one.is_low), one.entry]
        for one in day.held
    ]
    cooked = [
        [one.load, one.spit, one.birds, one.minutes, milliseconds(one.pulled_at), one.weight, one.weight_unit]
        for one in day.cooked
    ]
    return _text([held, cooked])


def read_figures(day: date, sums: str, details: str | None = None) -> DayFigures:
    """Give the figures of a day; without `details` the single readings and spits are left out."""
    found, discarded, holding, cooking, (state, signed_by, worst, *counts) = json.loads(sums)
    held, cooked = json.loads(details) if details is not None else ((), ())
    return DayFigures(
        day=day,
        standing=Standing(state, signed_by, _VERDICTS[worst], *counts),
        found=tuple(map(_found, found)),
        discarded=tuple(map(_discarded, discarded)),
        holding=tuple(HoldingSum(*one) for one in holding),
        cooking=tuple(CookingSum(unit, start, birds, tuple(minutes)) for unit, start, birds, minutes in cooking),
        held=tuple(map(_held, held)),
        cooked=tuple(map(_cooked, cooked)),
    )


def _reading(reading: Temperature) -> tuple[int, str]:
    return int(reading.value * 100), reading.unit


def _text(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _found(row: list[Any]) -> FoundFigure:
    rule, kind, name, spit, verdict, concerns, key, onset_at, hour = row
    about = (rule, Subject(kind, name, spit), _VERDICTS[verdict], _CONCERNS[concerns])
    return FoundFigure(*about, key, moment(onset_at), hour)


def _discarded(row: list[Any]) -> DiscardFigure:
    kind, name, spit, reason, quarters, seen_at, entry = row
    return DiscardFigure(Subject(kind, name, spit), reason, quarters, moment(seen_at), entry)


def _held(row: list[Any]) -> HeldFigure:
    hot_unit, tray, seen_at, hundredths, unit, is_low, entry = row
    reading = Temperature(Decimal(hundredths) / 100, unit)
    return HeldFigure(hot_unit, tray, moment(seen_at), reading, bool(is_low), entry)


def _cooked(row: list[Any]) -> CookFigure:
    load, spit, birds, minutes, pulled_at, weight, weight_unit = row
    return CookFigure(load, spit, birds, minutes, moment(pulled_at), weight, weight_unit)
