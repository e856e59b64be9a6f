"""How promptly the day was written, as its first page says it: what came late, what was corrected, and by whom."""

from collections.abc import Iterable

from app import words
from app.kinds import Entry, SignOff
from app.words.marking import gettext as _
from app.words.marking import ngettext

from .lines import Logbook


def promptness(book: Logbook) -> tuple[tuple[str, str], ...]:
    """Give what was written late and what was corrected, each with its count and who wrote it on which device."""
    day = book.assessment
    of_day = [entry for entry in day.entries if day.starts_at <= entry.observed_at < day.ends_at]
    late = [entry for entry in of_day if entry.late and entry.seq == entry.root_seq]
    corrected = [entry for entry in of_day if entry.amends is not None]
    readings = _("%(late)s of %(readings)s", late=day.late.late, readings=day.late.readings)
    return (
        (_("Written late"), _counted(late, book)),
        (_("Critical readings written late"), readings),
        (_("Corrected or withdrawn"), _counted(corrected, book)),
    )


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


def earlier_signatures(book: Logbook) -> tuple[str, ...]:
    """Give every signature of the day but the newest, in order."""
    day = book.assessment
    signings = [entry for entry in day.entries if isinstance(entry, SignOff) and entry.day == day.day]
    return tuple(
        _(
            "%(name)s, %(at)s, up to entry no. %(seq)s",
            name=entry.signer_name,
            at=words.local_date_time(entry.observed_at, day.site.timezone),
            seq=entry.covers_seq,
        )
        for entry in sorted(signings, key=lambda entry: entry.seq)[:-1]
    )
