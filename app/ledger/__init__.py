"""The ledger: the one way in, and every way to read it."""

from app.kinds import KINDS

from .appending.append import Result, append, preview
from .appending.registering import COMMAND, Author, Change, append_changes, moment_of_append
from .appending.signing import sign
from .checks.callers import Caller
from .derived.comparing import compare, compare_register, rebuild
from .derived.register_tables import Difference
from .figures.day_figures import FiguresUpdate, PastDays, keep_figures, past_days
from .form.drafts import read_drafts
from .form.shape import FieldError
from .reading.cooking_history import cooking_history
from .reading.day_reading import assess_day, day_entries
from .reading.read import (
    calendar_of,
    day_bodies,
    find_entry,
    first_seen,
    head,
    ledger_lines,
    read_plans,
    read_site,
    today,
)
from .reading.subject_history import checks_since, newest_of
from .reading.tracing import trace
from .rebuilding import rebuild_index
from .verify import Broken, verify

__all__ = [
    "COMMAND",
    "KINDS",
    "Author",
    "Broken",
    "Caller",
    "Change",
    "Difference",
    "FieldError",
    "FiguresUpdate",
    "PastDays",
    "Result",
    "append",
    "append_changes",
    "assess_day",
    "calendar_of",
    "checks_since",
    "compare",
    "compare_register",
    "cooking_history",
    "day_bodies",
    "day_entries",
    "find_entry",
    "first_seen",
    "head",
    "keep_figures",
    "ledger_lines",
    "moment_of_append",
    "newest_of",
    "past_days",
    "preview",
    "read_drafts",
    "read_plans",
    "read_site",
    "rebuild",
    "rebuild_index",
    "sign",
    "today",
    "trace",
    "verify",
]
