"""The ledger: the one way in, and every way to read it."""

from app.kinds import KINDS

from .appending.append import Result, append, preview, rehearse
from .appending.moments import ClockBehind
from .appending.registering import COMMAND, Author, Change, accept_clock, append_changes, moment_of_append
from .appending.signing import sign
from .appending.week_signing import sign_week
from .checks.callers import Caller
from .checks.findings import Found, find_findings
from .derived.comparing import compare, compare_register, of_no_site, rebuild
from .derived.register_tables import Difference
from .figures.day_figures import FiguresUpdate, PastDays, keep_figures, past_days
from .form.drafts import read_drafts
from .form.shape import FieldError
from .reading.cooking_history import cooking_history
from .reading.day_reading import assess_day, day_entries
from .reading.last_loads import LastLoad, last_loads
from .reading.lots import as_delivered
from .reading.period_reading import counted_between, has_entries
from .reading.read import (
    accepted_clocks,
    calendar_of,
    clock_behind,
    day_bodies,
    find_entry,
    first_seen,
    head,
    head_at_present,
    ledger_lines,
    present,
    read_plans,
    read_site,
    register_entries,
    site_clock_behind,
    today,
)
from .reading.runs import (
    SignedDay,
    bodies_of_kind,
    body_at,
    hash_at,
    hashed_lines,
    hashes,
    in_force_seqs,
    recorded_between,
    shown_seqs,
    sign_offs,
    signed_by,
    signed_day,
)
from .reading.subject_history import checks_since, entries_since, newest_of, plan_reassessments
from .reading.tracing import trace
from .reading.week_reading import probe_checks, read_week, week_signatures
from .rebuilding import rebuild_index
from .register import SiteRow, hold
from .verify import Broken, verify

__all__ = [
    "COMMAND",
    "KINDS",
    "Author",
    "Broken",
    "Caller",
    "Change",
    "ClockBehind",
    "Difference",
    "FieldError",
    "FiguresUpdate",
    "Found",
    "LastLoad",
    "PastDays",
    "Result",
    "SignedDay",
    "SiteRow",
    "accept_clock",
    "accepted_clocks",
    "append",
    "append_changes",
    "as_delivered",
    "assess_day",
    "bodies_of_kind",
    "body_at",
    "calendar_of",
    "checks_since",
    "clock_behind",
    "compare",
    "compare_register",
    "cooking_history",
    "counted_between",
    "day_bodies",
    "day_entries",
    "entries_since",
    "find_entry",
    "find_findings",
    "first_seen",
    "has_entries",
    "hash_at",
    "hashed_lines",
    "hashes",
    "head",
    "head_at_present",
    "hold",
    "in_force_seqs",
    "keep_figures",
    "last_loads",
    "ledger_lines",
    "moment_of_append",
    "newest_of",
    "of_no_site",
    "past_days",
    "plan_reassessments",
    "present",
    "preview",
    "probe_checks",
    "read_drafts",
    "read_plans",
    "read_site",
    "read_week",
    "rebuild",
    "rebuild_index",
    "recorded_between",
    "register_entries",
    "rehearse",
    "shown_seqs",
    "sign",
    "sign_offs",
    "sign_week",
    "signed_by",
    "signed_day",
    "site_clock_behind",
    "today",
    "trace",
    "verify",
    "week_signatures",
]
