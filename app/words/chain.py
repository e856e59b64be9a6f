"""Words of the chain of entries: why it is broken, where the server's clock went back or stands in the way."""

from collections.abc import Iterable
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from app.kinds import ClockSet

from . import measures
from .kinds import what_words
from .marking import N_, say
from .marking import gettext as _
from .measures import day_words

_BROKEN = {
    "missing": N_("It is missing."),
    "link": N_("It does not follow the entry before it."),
    "body": N_("What it says is not what was hashed."),
    "columns": N_("What is kept for searching differs from the entry."),
    "sign_off": N_("It signs other records than those that are here."),
    "time": N_("It is recorded earlier than the entry before it, and nobody accepted that."),
}


def broken_words(reason: str) -> str:
    """Say what is wrong with the entry at which a ledger is broken."""
    return say(_BROKEN, reason)


_UNGUARDED = {
    "gone": N_("%(name)s (gone)"),
    "changed": N_("%(name)s (not as it was made)"),
    "off": N_("%(name)s (switched off)"),
    "unknown": N_("%(name)s (not of this program, remove it by hand)"),
}


def guard_words(faults: Iterable[tuple[str, str]]) -> str:
    """Say which guards of the entries, each with why, do not stand in the database as they were made."""
    named = ", ".join(say(_UNGUARDED, why) % {"name": name} for name, why in faults)
    return str(
        _(
            "The guards of the entries are not as they were made: %(named)s. The command rebuild puts them back.",
            named=named,
        )
    )


_WRONG_LOG = {
    "file": N_("its file is not as it was kept"),
    "entry": N_("the ledger says something else about it"),
    "gone": N_("its file is gone"),
    "certificate": N_("it is signed with a certificate that is not the kitchen's"),
    "records": N_("the ledger has other entries than it"),
    "join": N_("its entries do not join those of the log before"),
}
_WRONG_BESIDE = {
    "stamp": N_("entry %(number)s: the time stamp of this entry is of something else"),
    "plan": N_("version %(number)s of the plan: its signed document is not as it was kept"),
    "named": N_("certificate %(details)s: the ledger names it otherwise, or not at all"),
}


def wrong_log_words(day: date | None, seq: int, reason: str, details: Iterable[str] = ()) -> str:
    """Say in one line what is wrong with the kept log of a sign-off, or with what else is signed (`day` is None)."""
    if day is None:
        return say(_WRONG_BESIDE, reason) % {"number": seq, "details": " ".join(details)}
    what = say(_WRONG_LOG, reason)
    more = f" ({' '.join(details)})" if details else ""
    return _("log of %(day)s, signed by entry %(seq)s: %(what)s", day=day_words(day), seq=seq, what=what + more)


def clock_set_words(entry: ClockSet, zone: ZoneInfo) -> str:
    """Say in one line where in the ledger the server's clock went back, and why that was accepted."""
    return _("entry %(seq)s: %(what)s", seq=entry.seq, what=what_words(entry, zone))


def clock_behind_words(behind: timedelta) -> str:
    """Say to who reads a screen that nothing can be saved, and what to do."""
    return _(
        "Nothing can be saved now: the clock of this server is behind its own records, by %(length)s. "
        "Tell the person in charge. Write on paper until the clock is right.",
        length=measures.duration(behind),
    )


def clock_to_set_words(behind: timedelta) -> str:
    """Say to whoever keeps the server, or sends to it, that nothing can be kept, and what to do."""
    return _(
        "Nothing was kept: the clock of this server is behind its own records, by %(length)s. "
        "Set the clock right, or accept it with the command clock; then the same can be sent again.",
        length=measures.duration(behind),
    )
