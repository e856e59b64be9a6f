"""Which version of an entry counts: the newest, unless it was withdrawn; and in which order entries count."""

from collections.abc import Iterable
from datetime import datetime

from app.kinds import Entry


def effective(entries: Iterable[Entry], *, as_of: datetime) -> list[Entry]:
    """Give what counts at `as_of`: newest versions, without withdrawn ones, in order of time seen.

    Of one instant readings come first, so that they count for what takes the food out.
    """
    newest: dict[int, Entry] = {}
    for entry in entries:
        known = newest.get(entry.root_seq)
        if known is None or entry.seq > known.seq:
            newest[entry.root_seq] = entry
    counted = [entry for entry in newest.values() if not entry.withdrawn and entry.observed_at <= as_of]
    counted.sort(key=lambda entry: (entry.observed_at, not entry.IS_READING, entry.root_seq))
    return counted
