"""Any day of a kitchen with every group in it: received, checked, roasted, held, cooled, reheated, timed, interrupted.

What is drawn cannot be refused: nothing goes out that did not come in, and nothing is read before it was opened. The
numbers lie below the limits, on them and above.
"""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, timedelta
from typing import Any

from hypothesis import strategies as st

from app.kinds import Entry
from app.kinds.reading import fields_of
from app.rules.plans.plan import Plan
from tests.support.cast import changed, entry, minutes, moment

OPENED = moment("09:00")
LONGEST = 900
"""Minutes from the opening within which everything is seen."""

COOK, HOLD = ("158", "164.9", "165", "171"), ("120", "134.9", "135", "150")
COOL, REHEAT = ("140", "130", "71", "70", "42", "41", "38"), ("150", "164.9", "165", "170")
COLD, ICE = ("36", "41", "41.1", "45"), ("32", "33.8", "33.9", "36")

Day = list[Entry]


class Story:
    """Writes down one drawn day, numbering the entries as they are written."""

    def __init__(self, data: Any) -> None:
        self.draw, self.day = data, Day()

    def put(self, kind: str, at: datetime, **own: Any) -> None:
        """Write an entry."""
        self.day.append(written(kind, at, len(self.day) + 1, **own))

    def one_of(self, *choices: Any) -> Any:
        """Draw one of a few."""
        return self.draw(st.sampled_from(choices))

    def after(self, at: datetime, up_to: int) -> datetime:
        """Draw a moment from a moment on."""
        left = (OPENED + minutes(LONGEST) - at) // minutes(1)
        return at + minutes(self.draw(st.integers(0, max(0, min(up_to, left)))))

    def reads(self, kind: str, values: tuple[str, ...], at: datetime, up_to: int, **own: Any) -> None:
        """Write up to four readings from a moment on, in any order."""
        for _ in range(self.draw(st.integers(0, 4))):
            probe = self.one_of("blue", "white")
            self.put(kind, self.after(at, up_to), temperature=self.one_of(*values), probe=probe, **own)


@st.composite
def days(draw: Any) -> Day:
    """A day of one load in one tray: some of it chilled, some of that reheated, the rest held, timed or moved on."""
    story = Story(draw)
    _before_the_work(story)
    _checks(story)
    pulled = OPENED + minutes(96)
    _roast(story, pulled)
    chilled = story.after(pulled, 300)
    _hold(story, pulled, chilled)
    _chill(story, chilled)
    _outages(story)
    return story.day


def _before_the_work(story: Story) -> None:
    story.put("in_charge_from", OPENED, person="pat")
    story.put("checklist", OPENED)
    for _ in range(story.draw(st.integers(0, 2))):
        own = {"state": story.one_of("chilled", "frozen"), "decision": story.one_of("accepted", "rejected")}
        warm = {"temperature": story.one_of(*COLD, ...)}
        story.put("receiving", OPENED, **own, **warm)


def _checks(story: Story) -> None:
    story.reads("unit_check", COLD, OPENED, LONGEST, unit_code="walk-in", of=story.one_of("air", "food"))
    story.reads("unit_check", ("120", "134.9", "135"), OPENED, LONGEST, unit_code="pass", of="air")
    for _ in range(story.draw(st.integers(0, 3))):
        at, probe = story.after(OPENED, LONGEST), story.one_of("blue", "white")
        if story.draw(st.integers(0, 4)) == 0:
            story.put("probe_check", at, probe=probe, temperature=..., unit=..., no_display=True)
        else:
            story.put("probe_check", at, probe=probe, temperature=story.one_of(*ICE))


def _roast(story: Story, pulled: datetime) -> None:
    story.put("load_started", OPENED, checks={"water": story.one_of(True, False, None)})
    ties = story.one_of({}, {"ties": 5, "ties_removed": 5}, {"ties": 5, "ties_removed": 4})
    on = {name: count for name, count in ties.items() if name == "ties"}
    off = {name: count for name, count in ties.items() if name != "ties"}
    story.put("spit_loaded", OPENED, **on)
    for bird in (1, 2, 3):
        story.reads("cook_reading", COOK, OPENED + minutes(60), 50, bird=bird)
    story.put("spit_pulled", pulled, **off)


def _hold(story: Story, pulled: datetime, chilled: datetime) -> None:
    story.reads("hold_reading", HOLD, pulled, 400)
    story.reads("hold_reading", HOLD, max(pulled, chilled - minutes(20)), 30)
    warm = story.one_of({}, *({"temperature": value, "unit": "F"} for value in COOL))
    story.put("tray_out", chilled, birds="2", to="chilled", batch="A-B1", **warm)
    timed = story.after(chilled, 200)
    if story.one_of(True, False):
        marked = story.one_of(..., timed + minutes(200), timed + minutes(240), timed + minutes(260))
        story.put("time_control_started", timed, marked_discard_by=marked)
    if story.one_of(True, False):
        story.put("tray_out", story.after(timed, 400), birds="2", to=story.one_of("served", "discarded", "prepared"))
    if story.one_of(True, False):
        filled = story.after(timed, 400)
        story.put("tray_out", filled, birds="1", to="other_tray", into="A-T3")
        story.reads("hold_reading", HOLD, filled, 400, tray="A-T3")


def _chill(story: Story, chilled: datetime) -> None:
    story.reads("cooling_reading", COOL, chilled, 500)
    story.put("batch_moved", story.after(chilled, 60))
    if story.one_of(True, True, False):
        _reheat(story, story.after(chilled, 400))
    if story.one_of(True, False):
        story.put("batch_out", story.after(chilled, 500), birds="1", to=story.one_of("served_cold", "discarded"))


def _reheat(story: Story, started: datetime) -> None:
    story.put("reheat_started", started)
    story.reads("reheat_reading", REHEAT, started, 100, held_s=story.one_of(..., 5, 14, 15, 60))
    if story.one_of(True, True, False):
        done = story.after(story.after(started, 90), 90)
        story.put("reheat_done", done)
        story.reads("hold_reading", HOLD, done, 200, tray="A-T2")


def _outages(story: Story) -> None:
    for code in ("east", "pass"):
        if story.one_of(True, False):
            out_at = story.after(OPENED, 300)
            story.put("equipment_out", out_at, code=code)
            if story.one_of(True, False):
                story.put("equipment_back", story.after(out_at, 200), code=code)


def written(kind: str, at: datetime, seq: int, **own: Any) -> Entry:
    """Give an entry; `of` is here what was read in a unit, its air or its food."""
    return entry(kind, at=at, seq=seq, **own)


def moved(day: Day, by: timedelta) -> Day:
    """Give a day with all its times so much later."""
    return [_moved(row, by) for row in day]


def _moved(row: Entry, by: timedelta) -> Entry:
    own = {name: value + by for name, value in fields_of(row).items() if isinstance(value, date)}
    return changed(row, observed_at=row.observed_at + by, recorded_at=row.recorded_at + by, **own)


def since(value: Any, start: datetime, day: date) -> Any:
    """Give a value with times told from `start`, dates from `day`, entries as their seq, plans as their version."""
    if isinstance(value, Entry):
        return value.seq
    if isinstance(value, Plan):
        return value.version
    if isinstance(value, datetime):
        return value - start
    if isinstance(value, date):
        return value - day
    if isinstance(value, str):
        return value.replace(day.isoformat(), "DAY")
    if isinstance(value, Mapping):
        return {str(key): since(item, start, day) for key, item in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: since(getattr(value, field.name), start, day) for field in fields(value)}
    return [since(item, start, day) for item in value] if isinstance(value, tuple | list) else value
