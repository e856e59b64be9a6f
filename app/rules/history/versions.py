"""Which version of an entry counts: the newest, unless it was withdrawn; and in which order entries count."""

from collections.abc import Iterable
from datetime import datetime
from operator import attrgetter

from app.kinds import Entry, Withdrawal


def effective(entries: Iterable[Entry], *, as_of: datetime) -> list[Entry]:
    """Give what counts at `as_of`: newest versions, without withdrawn ones, in order of time seen.

    Of one instant readings come first, so that they count for what takes the food out.
    """
    newest = {entry.root_seq: entry for entry in sorted(entries, key=attrgetter("seq"))}
    counted = [one for one in newest.values() if one.observed_at <= as_of and not isinstance(one, Withdrawal)]
    # By what matters least first: each sort keeps the order of the one before.
    counted.sort(key=attrgetter("root_seq"))
    counted.sort(key=attrgetter("IS_READING"), reverse=True)
    counted.sort(key=attrgetter("observed_at"))
    return counted
