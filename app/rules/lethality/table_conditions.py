"""What the records show of the conditions of a plan's table pair: humidity in the oven, and the time on the way up.

FSIS 2021 (Revised Appendix A) attaches both to its tables. A pair that is met without them is not shown to be enough.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from app.kinds import OvenSetting

from ..day.reach import Line
from ..day.subjects_shown import TableConditions
from ..facts import Verdict, worst
from ..forecasts.bird_series import by_bird_and_place
from ..history import holders, kitchen
from ..plans.plan import any_on_table
from ..scales import KG_PER_LB, in_fahrenheit
from .conditions import HumidityRecord, HumidityWay, conditions, judge_come_up, judge_humidity

_ONE_AFTER_ANOTHER = timedelta(minutes=15)
"""So long after a load's start what is put on its spits still starts with it (house)."""


OVEN = Line(
    name="oven",
    says="loads that were in the oven when it was set, where a plan rests on a table of times",
    told_by=(OvenSetting,),
    named_in=("oven",),
    settles=lambda _entry, _calendar: True,
    holds_food=True,
    in_force=lambda calendar: any_on_table(calendar.plans),
)


def judge_conditions(kitchen_: kitchen.Kitchen, spit: holders.Spit, at: datetime) -> TableConditions:
    """Judge both conditions on what was seen of a spit and its oven until `at`; of birds put on late, since then."""
    load = kitchen_.loads.get(spit.subject.name)
    if load is None:  # a spit may be seen up to two minutes before its load was started
        return TableConditions(humidity=Verdict.NOT_SHOWN, come_up=Verdict.NOT_SHOWN)
    started = load.opener.observed_at
    late = {move.at for move in spit.fills if started + _ONE_AFTER_ANOTHER < move.at <= at}
    starts = late if spit.opened_at in late else {started, *late}
    settings = [
        entry
        for entry in kitchen_.of_kind(OvenSetting)
        if entry.oven == load.oven and started <= entry.observed_at <= at
    ]
    return TableConditions(
        humidity=worst(_judge_humidity(spit, settings, (since, at)) for since in starts),
        come_up=worst(_judge_come_up(spit, since if since in late else None, at) for since in starts),
    )


def _judge_come_up(spit: holders.Spit, since: datetime | None, at: datetime) -> Verdict:
    """Judge every bird and place that was read more than once: NOT_MET if any is too slow, else MET if any is in time.

    Birds that are put on together turn together, so the record of one stands for those probed at the end only.
    """
    readings = (e for e in spit.readings if e.observed_at <= at and (since is None or since <= e.observed_at))
    series = by_bird_and_place(readings).values()
    judged = [judge_come_up([(entry.observed_at, entry.reading) for entry in one]) for one in series]
    return next((verdict for verdict in (Verdict.NOT_MET, Verdict.MET) if verdict in judged), Verdict.NOT_SHOWN)


def _judge_humidity(spit: holders.Spit, settings: Sequence[OvenSetting], cook: tuple[datetime, datetime]) -> Verdict:
    """Judge the humidity: met by the time shown humid, not met where all that was not shown dry would not be enough."""
    humid, dry = _humid_and_dry_min([entry for entry in settings if entry.observed_at >= cook[0]])
    record = HumidityRecord(
        way=HumidityWay(spit.plan.limits.cook_humidity),
        cook_min=_minutes(*cook),
        humid_min=humid,
        weight_lb=_lightest_lb(spit, cook[1]),
        oven_f=min(_set_points_f(settings, cook[0]), default=None),
    )
    at_most = replace(record, humid_min=_minutes(*cook) - dry)
    shown, possible = judge_humidity(record), judge_humidity(at_most)
    return Verdict.NOT_SHOWN if (shown, possible) == (Verdict.NOT_MET, Verdict.MET) else shown


def _set_points_f(settings: Sequence[OvenSetting], since: datetime) -> Sequence[Decimal]:
    """Give the set points (°F) from a moment on: what was in force at it, and every later one."""
    points = [(entry.observed_at, entry.reading) for entry in settings if entry.reading is not None]
    before = [point for point in points if point[0] <= since]
    return [in_fahrenheit(reading) for _at, reading in [*before[-1:], *points[len(before) :]]]


def _humid_and_dry_min(settings: Sequence[OvenSetting]) -> tuple[Decimal, Decimal]:
    """Give the minutes shown humid, and shown dry: between two readings, next to each other in time, that both are."""
    enough = conditions()["humidity"][HumidityWay.HUMID_PART]["relative_percent"]
    humid = dry = Decimal(0)
    read = [(entry.observed_at, entry.humidity) for entry in settings if entry.humidity is not None]
    for (before, at_first), (after, at_last) in pairwise(read):
        are_humid = {humidity >= enough for humidity in (at_first, at_last)}
        length = _minutes(before, after)
        humid += length if are_humid == {True} else 0
        dry += length if are_humid == {False} else 0
    return humid, dry


def _lightest_lb(spit: holders.Spit, at: datetime) -> Decimal | None:
    """Give the least mean weight (lb) written down for the spit's birds; None unless it is for all of them."""
    until = max(at, spit.opened_at)
    loadings = [entry for entry in spit.loadings() if entry.observed_at <= until]
    weights = [
        entry.mean_weight.value / (KG_PER_LB if entry.mean_weight.unit == "kg" else 1)
        for entry in loadings
        if entry.mean_weight is not None
    ]
    fills = sum(move.at <= until for move in spit.fills)
    return min(weights) if weights and len(weights) == fills else None


def _minutes(start: datetime, end: datetime) -> Decimal:
    return Decimal(str((end - start).total_seconds())) / 60
