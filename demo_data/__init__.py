"""The demo kitchen: an invented rotisserie with three weeks of ordinary and bad days, told backwards from today.

Everybody and everything in it is invented: people, suppliers, lots, readings. None of its numbers is advice.
"""

from datetime import datetime

from app.db import Database

from .calendar import days_before
from .kitchen import SIGN_INS, SITE, is_there, set_up
from .weeks import write_history
from .working import write_today

__all__ = ["SIGN_INS", "SITE", "load"]


def load(database: Database, *, at: datetime) -> None:
    """Set the kitchen up and write its history up to `at`; where it is there already, nothing changes."""
    if is_there(database):
        return
    past = days_before(at)
    set_up(database, at=past[0].at("03:55"))
    write_history(database, past)
    write_today(database, at=at)
