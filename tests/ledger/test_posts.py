"""However the entries of some days arrive, the days mean the same."""

import random
from collections import Counter
from datetime import date, datetime, timedelta
from pathlib import Path

from hypothesis import example, given
from hypothesis import strategies as st

from tests.support import cast
from tests.support.diary import Diary
from tests.support.examples import examples
from tests.support.ledger_kitchen import Kitchen
from tests.support.random_ledger import fresh_kitchen, seen_at, shown


@examples(15)
@given(seed=st.integers(0, 2**32), cut=st.floats(0.1, 0.9))
@example(seed=1400172, cut=0.5).via("an oven is out while a load whose only spit was withdrawn is open")
def test_any_two_posts_of_the_same_entries_give_the_same_days(sqlite_template: Path, seed: int, cut: float) -> None:
    """One tablet sends all in the evening; the other sends the first part when it was seen, and the rest later."""
    drafts = Diary(random.Random(seed)).write(90)
    at, end = int(len(drafts) * cut), max(map(seen_at, drafts))
    with fresh_kitchen(sqlite_template) as one, fresh_kitchen(sqlite_template) as other:
        at_once = one.post(*drafts, at=end)
        split = [*other.post(*drafts[:at], at=max(map(seen_at, drafts[:at]))), *other.post(*drafts[at:], at=end)]
        assert split == at_once
        for number in range((end.date() - cast.DAY).days + 1):
            day = cast.DAY + timedelta(days=number)
            assert _said(other, day, end) == _said(one, day, end)


def _said(kitchen: Kitchen, day: date, as_of: datetime) -> dict[str, object]:
    """Give what a day says, but for how many of its readings were written late."""
    said = shown(kitchen.assess(day=day, as_of=as_of))
    del said["late"], said["patterns"]
    return said


KEPT = {
    *["receiving", "unit_check", "load_started", "spit_loaded", "oven_setting", "cook_reading", "spit_pulled"],
    *["hold_reading", "tray_moved", "tray_out", "time_control_started", "cooling_reading", "batch_moved"],
    *["reheat_started", "reheat_reading", "reheat_done", "batch_out", "probe_check", "checklist"],
    *["equipment_out", "equipment_back"],
}


def test_the_histories_drawn_hold_every_kind_of_work(sqlite_template: Path) -> None:
    """A property says nothing of what its histories never hold."""
    kept = Counter[str]()
    for seed in range(15):
        drafts = Diary(random.Random(seed)).write(90)
        with fresh_kitchen(sqlite_template) as kitchen:
            results = kitchen.post(*drafts, at=max(map(seen_at, drafts)))
        kept.update(draft["kind"] for draft, result in zip(drafts, results, strict=True) if result.seq)
    assert {kind for kind in KEPT if kept[kind] < 3} == set()
