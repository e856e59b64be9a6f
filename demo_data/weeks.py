"""Three weeks of history: ordinary days, and the bad ones among them."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta

from app.db import Database

from . import answers, chilled
from .calendar import DemoDay
from .diary import Diary, Page, in_charge_on
from .mishaps import MISHAPS
from .ordinary import LOADS, chill, close_kitchen, open_kitchen, pulled_at, roast, serve
from .verification import sign_week_before, write_verification

UNSIGNED = (9, 1)
"""Days before today that nobody signed: one forgotten, and yesterday's review still to be done."""
TOUCHED_AFTER_SIGNING = 6
SIGNED_NEXT_MORNING = 4
COOLED_TOO_SLOWLY = 16
PLAN_CHANGED = 2
"""Days before today: the day at whose noon the plan was made stricter."""
TYPED_AT_CLOSING = 4
"""Days before today: the day whose afternoon readings were all written down at closing time."""
BATCHES = {chilled.FORGOTTEN - 1: chilled.reheat_one, 5: chilled.reheat_badly, 3: chilled.prepare_salad}
"""What becomes of yesterday's batch on days on which it is not boned."""


def write_history(database: Database, days: Sequence[DemoDay]) -> None:
    """Write every day in its order, with its answers and its signature."""
    yesterdays_batch: str | None = None
    remembered: list[Page] = []
    for day in days:
        diary = Diary(day)
        batch = write_day(diary, MISHAPS.get(day.back), yesterdays_batch)
        if day.back == TYPED_AT_CLOSING:
            _type_at_closing(diary)
        if day.back == PLAN_CHANGED:
            diary.adopt("12:00", by="ines", hot_holding="138F/59C")
        diary.pages += remembered
        diary.keep(database)
        _review(database, day)
        yesterdays_batch = batch
        remembered = _remember(day) if day.back == TOUCHED_AFTER_SIGNING else []


Mishap = Callable[[Diary, Sequence[str]], None]


def write_day(diary: Diary, mishap: Mishap | None, batch: str | None) -> str | None:
    """Write one day: opening, yesterday's batch used, three loads, leftovers chilled, closing; give today's batch."""
    day = diary.day
    open_kitchen(diary)
    if batch is not None:
        BATCHES.get(day.back, chilled.prepare)(diary, batch)
    changes = getattr(mishap, "loads", {})
    told_elsewhere = getattr(mishap, "trays", ())
    trays: list[str] = []
    for usual in LOADS:
        load = replace(usual, **changes.get(usual.number, {}))
        filled = roast(diary, load)
        trays += filled
        for spit, tray in enumerate(filled, start=1):
            last = load.number == 3 and spit == load.spits
            if (load.number, spit) not in told_elsewhere:
                serve(diary, tray, pulled_at(day, load, spit), leave=2 if last else 0)
    if mishap is not None:
        mishap(diary, trays)
    write_verification(diary)
    close_kitchen(diary)
    if day.back == COOLED_TOO_SLOWLY:
        chilled.cool_too_slowly(diary, trays[-1])
        return None
    return chill(diary, trays[-1], day.at("19:36"), 2)


def _type_at_closing(diary: Diary) -> None:
    """The hold readings of the afternoon are written down one after the other when the kitchen closes."""
    noon, closing = diary.day.at("12:00"), diary.day.at("22:50")
    at = closing
    pages: list[Page] = []
    for written_at, by, draft in diary.pages:
        is_typed_late = draft["kind"] == "hold_reading" and noon < written_at < closing
        at += timedelta(seconds=12 if is_typed_late else 0)
        pages.append((at if is_typed_late else written_at, by, draft))
    diary.pages = pages


def _review(database: Database, day: DemoDay) -> None:
    answers.act(database, day, day.at("23:08"))
    if day.back in UNSIGNED:
        return
    if day.back == TYPED_AT_CLOSING:
        answers.act(database, day, day.at("29:00"))  # what the end of the day brought to light
    evening = ("29:10", "29:20") if day.back == SIGNED_NEXT_MORNING else ("23:24", "23:34")
    answers.verify(database, day, day.at(evening[0]))
    answers.sign(database, day, day.at(evening[1]))
    sign_week_before(database, day)


def _remember(day: DemoDay) -> list[Page]:
    """Give what somebody remembers the morning after, and writes into the day that was signed."""
    diary = Diary(day)
    words = "Cabinet made a grinding noise in the afternoon; mechanic called."
    diary.write("note", "16:30", by=in_charge_on(day)[1], late=15 * 60, text=words)
    return [(at, by, {**draft, "id": draft["id"][:-4] + "ffff"}) for at, by, draft in diary.pages]
