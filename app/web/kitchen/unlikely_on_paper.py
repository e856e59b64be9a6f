"""What is unlikely about readings typed in from paper: asked at their rows, as the pad asks, before any is kept."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from app import clock, ledger, words
from app.kinds import Entry, Temperature
from app.ledger import FieldError
from app.rules.day.assess import assess
from app.rules.day.shown import Assessment
from app.rules.facts import Site
from app.rules.meaning import asking
from app.rules.meaning.asking import Asking
from app.server import get_database
from app.server.site_lock import writing_to

from ..parts.forms import Draft
from ..signin import identity
from .confirming import Asked, read


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked about one reading: a sentence for each doubt, and what may be answered."""

    asked: Asked
    sentences: Sequence[str]

    @property
    def answers(self) -> Mapping[str, str]:
        """What may be answered, as the form sends it, each with what is tapped."""
        found = {answer("yes", self.asked.reading): words.measured(self.asked.reading)}
        if self.asked.other is not None:
            found[answer("other", self.asked.reading)] = words.measured(self.asked.other)
        return found


def answer(which: str, reading: Temperature) -> str:
    """Give an answer as the form sends it: it holds for this very reading only."""
    return f"{which} {reading.value} {reading.unit}"


def answered(draft: Draft, given: str) -> Draft:
    """Give the draft of a row with what was answered about its reading: that it is right, or in the other unit."""
    reading = read(draft)
    if reading is None or not given:
        return draft
    if given == answer("other", reading):
        draft = {**draft, "unit": "C" if reading.unit == "F" else "F"}
    return {**draft, "confirmed": True} if given in (answer("yes", reading), answer("other", reading)) else draft


def rehearsed(drafts: Sequence[Draft]) -> list[tuple[Entry | None, tuple[FieldError, ...]]]:
    """Give what would become of the rows, each with those before it, or why it cannot be kept."""
    here = identity.current()
    nobody = ledger.Caller(login="", name="", role=here.role, via=here.caller.via)
    with writing_to(here.site.code) as (session, now):
        return ledger.rehearse(session, here.site.code, drafts, by=nobody, at=now)


def asked_of(drafts: Mapping[str, Draft], *, day: date) -> Mapping[str, Question]:
    """Give what is asked, by row; nothing while a row cannot be kept, for that is said first.

    A row that was answered is asked about no more.
    """
    entries = [entry for entry, _errors in rehearsed(list(drafts.values())) if entry is not None]
    if len(entries) < len(drafts):
        return {}
    site, as_of = identity.current().site, max([clock.utc_now(), *(entry.observed_at for entry in entries)])
    with get_database().reading() as session:
        known = ledger.day_entries(session, site.code, day, as_of=as_of)
    shown = assess(day, [*known, *entries], as_of=as_of)
    found = {place: _question(draft, shown, site) for place, draft in drafts.items() if not draft.get("confirmed")}
    return {place: question for place, question in found.items() if question is not None}


def _question(draft: Draft, day: Assessment, site: Site) -> Question | None:
    reading, about = read(draft), asking.of_entry(day, str(draft["kind"]), draft, but=str(draft["id"]))
    if reading is None or about is None:
        return None
    at = datetime.fromisoformat(str(draft["observed_at"]))
    probe = site.equipment.get(str(draft.get("probe", "")))
    is_dual = probe is None or probe.scale not in ("F", "C")
    bird, place = draft.get("bird"), draft.get("place")
    questions = _until(about, at).about(reading, is_dual=is_dual, at=at, bird=bird, place=place)
    if not questions:
        return None
    return Question(Asked(reading, questions), [words.question_words(one, reading, site.timezone) for one in questions])


def _until(about: Asking, at: datetime) -> Asking:
    """Leave out readings of the spit that were made later: on paper they stand there already."""
    if about.spit is None:
        return about
    earlier = tuple(one for one in about.spit.readings if one.observed_at <= at)
    return replace(about, spit=about.spit._replace(readings=earlier))
