"""Saving only what was understood: what a number means was on the page, and what is unlikely was answered."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from flask import request

from app import clock
from app.kinds import Temperature
from app.rules.facts import Verdict
from app.rules.meaning.asking import AskBands, Asking, Question
from app.rules.meaning.bands import Bands, means

from ..parts.forms import Draft, recorded
from ..signin import identity
from .readings import Foreseen, ReadingForm, foresee
from .running_day import lead_on

_NUMBER = re.compile(r"-?[0-9]{1,4}(\.[0-9]{1,2})?")


@dataclass(frozen=True, slots=True)
class Asked:
    """A reading that is asked about before it is kept."""

    reading: Temperature
    questions: tuple[Question, ...]

    @property
    def codes(self) -> str:
        """What is asked, as the page sends it back with the answer yes."""
        return " ".join(question.code for question in self.questions)

    @property
    def other(self) -> Temperature | None:
        """The same number in the other unit, where it is asked which."""
        if all(question.code != "other_unit" for question in self.questions):
            return None
        return Temperature(self.reading.value, "C" if self.reading.unit == "F" else "F")


@dataclass(slots=True)
class Pad:
    """A number being typed: `keeps` saves it, else `foreseen` and `asked` are what the page says about it."""

    asking: Asking | None = None
    """What is asked of such readings; None where nothing is."""
    bands: Callable[[str], Bands] | None = None
    """The table, in °F or °C, in which the script looks up what a number means; None where the server says it alone."""
    foreseen: Foreseen | None = None
    asked: Asked | None = None

    def keeps(self, form: ReadingForm, draft: Draft) -> bool:
        """Keep the entry if what it means was shown, and what is asked was answered; False where not, or refused.

        The part of a page that the script asks for while somebody types keeps nothing.
        """
        if self._was_looked_up(form, draft):
            form.note_shown(draft)
        self.asked = self._asked(form, draft)
        is_understood = form.is_shown(draft) and is_answered(form, draft, self.asked)
        if is_understood and not request.headers.get("X-Fragment") and recorded(form, [with_answer(form, draft)]):
            return True
        self.foreseen = None if form.errors_at() else foresee(form, draft)
        form.note_shown(draft)
        return False

    def lead_on(self, form: ReadingForm, draft: Draft, otherwise: str) -> str:
        """Give where to go once the reading is kept; one of just now that met its limit raises nothing to act on."""
        is_good = not form.observed_at.data and self._verdict(draft) is Verdict.MET
        return otherwise if is_good else lead_on(form, otherwise)

    def _verdict(self, draft: Draft) -> Verdict | None:
        reading = read(draft)
        return means(self.bands(reading.unit), reading).verdict if self.bands and reading else None

    def _was_looked_up(self, form: ReadingForm, draft: Draft) -> bool:
        """Whether the page's own table said what this very reading means."""
        reading = read(draft)
        if self.bands is None or reading is None or not form.looked_up.data:
            return False
        return means(self.bands(reading.unit), reading).code == form.looked_up.data

    def table(self, unit: str, *, is_dual: bool) -> AskBands:
        """Give what is asked of any number on the pad, for a reading of just now."""
        return self.asking.table(unit, is_dual=is_dual, at=clock.utc_now()) if self.asking else ()

    def _asked(self, form: ReadingForm, draft: Draft) -> Asked | None:
        return ask(form, draft, self.asking) if self.asking else None


def ask(form: ReadingForm, draft: Draft, asking: Asking) -> Asked | None:
    """Give what is asked about the reading of a draft; None where nothing is, or where it has no reading."""
    reading = read(draft)
    if reading is None:
        return None
    questions = asking.about(
        reading,
        is_dual=form.is_dual(identity.current().site),
        at=form.seen_or_now(clock.utc_now()),
        bird=draft.get("bird"),
        place=draft.get("place"),
    )
    return Asked(reading, questions) if questions else None


def read(draft: Draft) -> Temperature | None:
    """Give the reading of a draft; None where it has none, or what was typed is no number."""
    number, unit = str(draft.get("temperature", "")), draft.get("unit")
    if unit not in ("F", "C") or not _NUMBER.fullmatch(number):
        return None
    return Temperature(Decimal(number), unit)


def is_answered(form: ReadingForm, draft: Draft, asked: Asked | None) -> bool:
    """Whether nothing is asked about the reading, or all of it was answered yes."""
    return asked is None or form.has_confirmed(draft, asked.codes.split())


def with_answer(form: ReadingForm, draft: Draft) -> Draft:
    """Give the draft with the answer of whoever was asked about its reading."""
    was_asked = "temperature" in draft and form.confirmed.data and form.shown_for.data == form.said(draft)
    return {**draft, "confirmed": True} if was_asked else draft
