"""Time as the control in the short stories of a day: the plan that names its procedure, and the start."""

from typing import Any

from app.kinds import Entry
from tests.support.cast import entry
from tests.support.story import adopted

NAMED = [adopted(time_control_procedure="TC-1")]


def started(at: str = "11:30", **fields: Any) -> Entry:
    """The start of time as the control of tray A-T1."""
    return entry("time_control_started", at=at, **fields)
