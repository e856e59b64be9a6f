"""The signatures of a day: who signed when, what each covers, and whether entries came after it."""

from dataclasses import dataclass

from app import words
from app.rules.day.shown import Signed
from app.words.marking import gettext as _

from .lines import Logbook


@dataclass(frozen=True, slots=True, kw_only=True)
class Signature:
    """One signature. `by_maker` and `stale` are empty where there is nothing to say."""

    name: str
    meaning: str
    at: str
    covers: str
    by_maker: str
    stale: str


def signatures(book: Logbook) -> tuple[Signature, ...]:
    """Give every signature of the day, the newest last."""
    return tuple(_signature(signed, book) for signed in book.assessment.signings)


def _signature(signed: Signed, book: Logbook) -> Signature:
    return Signature(
        name=signed.signer_name,
        meaning=words.meaning_words(signed.entry.meaning),
        at=words.local_date_time(signed.at, book.assessment.site.timezone),
        covers=_("entry no. %(seq)s, %(hash)s", seq=signed.covers_seq, hash=signed.covers_hash),
        by_maker=_("reviewed by the person who made the records") if signed.by_maker else "",
        stale=_stale(signed, book) if signed.stale else "",
    )


def _stale(signed: Signed, book: Logbook) -> str:
    if signed is book.assessment.signed:
        return _("Entries that touch this day came later: it asks for a new sign-off.")
    return _("Entries that touch this day came later, and it was signed again.")
