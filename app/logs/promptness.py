"""How promptly the day was written, as its first page says it: what came late, what was corrected, and by whom."""

from collections.abc import Iterable

from app import words
from app.kinds import Entry
from app.words.marking import gettext as _
from app.words.marking import ngettext

from .lines import Logbook


def promptness(book: Logbook) -> tuple[tuple[str, str], ...]:
    """Give what was written late and what was corrected, each with its count and who wrote it on which device."""
    written, corrected = late_and_corrected(book)
    return written, (_("Critical readings written late"), late_readings(book)), corrected


def late_and_corrected(book: Logbook) -> tuple[tuple[str, str], tuple[str, str]]:
    """Give the same without the count of critical readings, for the paper has that on top."""
    day = book.assessment
    of_day = [entry for entry in day.entries if day.starts_at <= entry.observed_at < day.ends_at]
    late = [entry for entry in of_day if entry.late and entry.seq == entry.root_seq]
    corrected = [entry for entry in of_day if entry.amends is not None]
    return (
        (_("Written late"), _counted(late, book)),
        (_("Corrected or withdrawn"), _counted(corrected, book)),
    )


def late_readings(book: Logbook) -> str:
    """Give how many critical readings of the day were written late, and how many there are."""
    late = book.assessment.late
    return _("%(late)s of %(readings)s", late=late.late, readings=late.readings)


def _counted(entries: Iterable[Entry], book: Logbook) -> str:
    found = list(entries)
    if not found:
        return _("none")
    who = "; ".join(dict.fromkeys(book.by(entry) for entry in found))
    count = ngettext("%(count)s entry", "%(count)s entries", len(found), count=len(found))
    return _("%(count)s: %(who)s", count=count, who=who)


def second_looks(book: Logbook) -> tuple[str, ...]:
    """Give what a reviewer would want to look at twice. Pointed out, no verdict."""
    return tuple(words.pattern_words(pattern) for pattern in book.assessment.patterns)
