"""Time out of temperature: counted for each tray, and carried along with the birds through batches, reheats and ovens.

What is in a tray is a set of parts. A part was last known hot at its anchor, with a sum of time out before it.
Between readings nothing is known, so time counts from the anchor only where the next reading is low, or where the
birds were never known to be hot; a good reading ends that.
"""

from bisect import bisect_right
from collections.abc import Callable
from datetime import datetime
from operator import itemgetter
from typing import Any

from app.kinds import (
    BatchOut,
    CookReading,
    Entry,
    HoldReading,
    LoadStarted,
    ReheatDone,
    ReheatReading,
    ReheatStarted,
    SpitPulled,
    Subject,
    TimeControlStarted,
    TrayOut,
)

from ..facts import Verdict
from ..plans.limits import minutes
from ..subjects import cooking, reheating
from ..subjects.time_start import held_by_time_from
from . import holders, kitchen
from .movements import MOVES
from .parts import NONE, Carried, LowRun, Part
from .tray_exposure import TrayExposure

_PLACE = itemgetter(0)


class Exposures:
    """Exposure of every tray, and what batches, reheats and spits were filled with."""

    def __init__(self, kitchen_: kitchen.Kitchen, *, as_of: datetime) -> None:
        self._kitchen = kitchen_
        self.trays: dict[Subject, TrayExposure] = {}
        self._by_name: dict[str | None, TrayExposure] = {}
        """The same by the name of the tray."""
        self.carried: dict[Subject, Carried] = {}
        self.brought: dict[str, Carried] = {}
        """Id of what filled a batch → what those birds brought along."""
        self.hot_at: dict[str, datetime] = {}
        """Id of a tray_out that filled a batch → the last known-hot moment, else the pull: the start of its clock."""
        for tray in kitchen_.trays():
            exposure = TrayExposure(tray, held_by_time_from(tray))
            self.trays[tray.subject] = self._by_name[tray.subject.name] = exposure
        for index, entry in enumerate(kitchen_.entries):
            step = _STEPS.get(type(entry))
            if step is not None:
                step(self, index, entry)
        for exposure in self.trays.values():
            if exposure.frozen is None:
                _settle(exposure, as_of)

    def _carry(self, target: Subject, brought: Carried, entry: Entry) -> None:
        self.brought[entry.id] = brought.copy()
        known = self.carried.get(target)
        if known is None:
            self.carried[target] = brought.copy()
        else:
            known.add(brought)

    def _read(self, index: int, entry: HoldReading) -> None:
        exposure = self._by_name.get(entry.tray)
        if exposure is None or exposure.frozen is not None or not exposure.parts:
            return
        _settle(exposure, entry.observed_at)
        if exposure.tray.plan.limits.hot_holding.at_or_above(entry.reading):
            _read_good(exposure, entry)
        else:
            _read_low(exposure, entry)
        _look_ahead(exposure, index)

    def _pull(self, index: int, entry: SpitPulled) -> None:
        exposure = self._by_name.get(entry.tray)
        if exposure is None:
            return
        spit, at = self._kitchen.spit(entry), entry.observed_at
        hot_at = brought = None
        if spit is not None:  # else its loading is not seen yet (clocks differ): nothing is known of its birds
            hot_at = cooking.known_hot_at(self._kitchen, spit, at, limit=exposure.tray.plan.limits.hot_holding)
            brought = self.carried.get(spit.subject)
        before, was_low = (brought.out_for, brought.was_low) if brought else (NONE, False)
        part = Part(before, hot_at or at, hot_at is None, hot_at is not None, at, entry, was_low=was_low)
        _fill(exposure, index, [part])

    def _finish_reheat(self, index: int, entry: ReheatDone) -> None:
        exposure = self._by_name.get(entry.tray)
        reheat = self._kitchen.holders.get(self._kitchen.subject("reheat", entry.reheat))
        if exposure is None:
            return
        if not isinstance(reheat, holders.Reheat):
            _fill(exposure, index, [_from_nowhere(entry)])
            return
        at = entry.observed_at
        # What brought nothing along came from nowhere: it may have been out before.
        brought = self.carried.get(reheat.subject) or Carried(NONE, at, was_low=True)
        good = reheating.judge_done(reheat, entry)[0] is Verdict.MET
        part = Part(brought.out_for, at, not good, good, brought.cooked_at, entry, was_low=brought.was_low)
        _fill(exposure, index, [part])

    def _take_out(self, index: int, entry: TrayOut) -> None:
        exposure = self._by_name.get(entry.tray)
        if exposure is None:
            self._bring_from_nowhere(index, entry)
            return
        at = entry.observed_at
        emptied = exposure.tray.emptied
        empties = emptied is not None and emptied.index == index
        if exposure.frozen is None:
            _settle(exposure, at, empties=empties)
        exposure.out_at[entry.id] = exposure.out_for(at)
        if exposure.parts:
            self._bring(index, entry, exposure)
        if empties:
            _freeze(exposure, at)

    def _bring(self, index: int, entry: TrayOut, source: TrayExposure) -> None:
        at, flows = entry.observed_at, entry.flows()
        target = self._by_name.get(entry.into)
        if target is not None:
            _fill(target, index, _parts_moved(source, entry))
        elif entry.into is None and len(flows) == 2:
            self.hot_at[entry.id] = min(part.anchor for part in source.parts)
            cooked_at = min(part.cooked_at for part in source.parts)
            was_low = any(part.is_low or part.was_low for part in source.parts)
            self._carry(flows[1].subject, Carried(source.out_for(at), cooked_at, was_low), entry)

    def _bring_from_nowhere(self, index: int, entry: TrayOut) -> None:
        target = self._by_name.get(entry.into)
        if target is not None:
            _fill(target, index, [_from_nowhere(entry)])

    def _start_reheat(self, _index: int, entry: ReheatStarted) -> None:
        brought = self.carried.get(self._kitchen.subject("batch", entry.batch))
        if brought is not None:
            self._carry(self._kitchen.subject("reheat", entry.reheat), brought, entry)

    def _take_batch_out(self, _index: int, entry: BatchOut) -> None:
        brought = self.carried.get(self._kitchen.subject("batch", entry.batch))
        if entry.into is not None and brought is not None:
            self._carry(self._kitchen.subject("batch", entry.into), brought, entry)

    def _control(self, index: int, entry: TimeControlStarted) -> None:
        exposure = self._by_name.get(entry.tray)
        if exposure is None or exposure.frozen is not None or exposure.tray.control != (index, entry):
            return
        at = entry.observed_at
        exposure.out_at_start = exposure.out_for(at)
        if exposure.by_time_from == index:
            _settle(exposure, at)
            _freeze(exposure, at)
            _note_out_again(exposure, at)


def _parts_moved(source: TrayExposure, entry: TrayOut) -> list[Part]:
    if source.frozen is None:
        return [part._replace(fill=entry) for part in source.parts]
    # Out of time as the control: nothing says how warm it stayed, so time counts from this moment.
    at, cooked_at = entry.observed_at, min(part.cooked_at for part in source.parts)
    return [Part(source.frozen, at, True, False, cooked_at, entry, was_low=True)]


def _from_nowhere(entry: Entry) -> Part:
    """Give birds out of something that no record fills: never known to be hot, so time counts from this moment.

    The ledger refuses to keep such a record; a chain that somebody wrote outside it may hold one.
    """
    return Part(NONE, entry.observed_at, True, False, entry.observed_at, entry, was_low=True)


def _fill(exposure: TrayExposure, index: int, parts: list[Part]) -> None:
    at = parts[0].fill.observed_at
    if exposure.frozen is None:
        _settle(exposure, at)
    else:
        exposure.frozen = max([exposure.frozen, *(part.out_for(at) for part in parts)])
    exposure.parts = [*exposure.parts, *parts]
    if exposure.frozen is None:
        _look_ahead(exposure, index)


def _settle(exposure: TrayExposure, until: datetime, *, empties: bool = False) -> None:
    """Close the stretch since the last event: did the sum reach the discard band while birds were in the tray?

    It did not where the event that `empties` the tray is of that very instant.
    """
    since = exposure.since
    exposure.since = until
    if since is None:
        return
    limit = minutes(exposure.tray.plan.limits.band_discard_min)
    for part in exposure.parts:
        moment = part.reaches(limit, since=since)
        if moment is None or moment > until or (empties and moment == until):
            continue
        if exposure.reached is None or moment < exposure.reached[0]:
            exposure.reached = (moment, _opener_of(exposure, part))


def _opener_of(exposure: TrayExposure, part: Part) -> Entry:
    if exposure.run is not None:
        return exposure.run.entries[0]
    return exposure.upcoming or part.fill


def _read_good(exposure: TrayExposure, entry: HoldReading) -> None:
    at = entry.observed_at
    if exposure.run is not None:
        exposure.run.ended_at = at
    cooked_at = min(part.cooked_at for part in exposure.parts)
    was_low = any(part.is_low or part.was_low for part in exposure.parts)
    exposure.parts = [Part(exposure.out_for(at), at, False, True, cooked_at, entry, was_low=was_low)]


def _read_low(exposure: TrayExposure, entry: HoldReading) -> None:
    if exposure.run is not None:
        exposure.run.entries.append(entry)
    else:
        exposure.runs.append(LowRun(min(part.anchor for part in exposure.parts), [entry]))
    exposure.parts = [part._replace(is_low=True) for part in exposure.parts]
    _note_out_again(exposure, entry.observed_at)


def _note_out_again(exposure: TrayExposure, at: datetime) -> None:
    """Under a code that defends one time out of temperature only, note that this is another."""
    again = exposure.tray.plan.periods_out == "one" and any(part.was_low for part in exposure.parts)
    if again and exposure.out_again_at is None:
        exposure.out_again_at = at


def _look_ahead(exposure: TrayExposure, index: int) -> None:
    """In hindsight: where the next reading is low, time counts from the last known-hot moment already."""
    following = _next_reading(exposure, index)
    is_low = following is not None and not exposure.tray.plan.limits.hot_holding.at_or_above(following.reading)
    exposure.upcoming = following if is_low else None
    if is_low or exposure.run is not None:
        exposure.parts = [part if part.counts else part._replace(counts=True) for part in exposure.parts]


def _next_reading(exposure: TrayExposure, index: int) -> HoldReading | None:
    """Give the next reading of a tray while its temperature is asked for; None where there is none."""
    tray = exposure.tray
    after = bisect_right(tray.readings, index, key=_PLACE)
    if after == len(tray.readings):
        return None
    place, reading = tray.readings[after]
    is_empty = tray.emptied is not None and place > tray.emptied.index
    is_by_time = exposure.by_time_from is not None and place > exposure.by_time_from
    return None if is_empty or is_by_time else reading


def _freeze(exposure: TrayExposure, at: datetime) -> None:
    exposure.frozen = exposure.out_for(at)
    if exposure.run is not None:
        exposure.run.ended_at = at


_STEPS: dict[type[Entry], Callable[[Exposures, int, Any], None]] = {
    SpitPulled: Exposures._pull,
    HoldReading: Exposures._read,
    TrayOut: Exposures._take_out,
    TimeControlStarted: Exposures._control,
    BatchOut: Exposures._take_batch_out,
    ReheatStarted: Exposures._start_reheat,
    ReheatDone: Exposures._finish_reheat,
}

TIME_OUT = (*MOVES, LoadStarted, CookReading, HoldReading, ReheatReading, TimeControlStarted)
"""The kinds that time out of temperature rests on: movements, and the readings that show food hot."""
