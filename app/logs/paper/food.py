"""Food that was set aside, for page one: since when, where it is now, who released it, and what left the kitchen."""

from dataclasses import dataclass

from app import words
from app.kinds import Release, Subject
from app.rules.day.food_shown import Food, FoodGone, FoodHere, FoodMadeGood
from app.rules.facts import Finding
from app.words.marking import gettext as _

from ..answers import finding_numbers
from ..lines import Logbook


@dataclass(frozen=True, slots=True, kw_only=True)
class FoodRow:
    """The food of one finding. Every part is one sentence each, and may be empty."""

    number: str
    """The finding's number on this log."""
    about: str
    here: tuple[str, ...]
    made_good: tuple[str, ...]
    """What was cooked on or reheated as the finding asks."""
    released: tuple[str, ...]
    gone: tuple[str, ...]
    """What left the kitchen, and who was told of what left while it was set aside."""


def food_rows(book: Logbook) -> tuple[FoodRow, ...]:
    """Give the food of every finding that set some aside, of those that a mending made go away, too."""
    day, numbers = book.assessment, finding_numbers(book)
    findings = [*book.findings, *(one.finding for one in day.cleared)]
    return tuple(food_row(one, day.food[one.key], numbers[one.key], book) for one in findings if one.key in day.food)


def food_row(finding: Finding, food: Food, number: str, book: Logbook) -> FoodRow:
    """Give the food of one finding in words."""
    subject = words.sentence_start(words.subject_words(finding.subject))
    return FoodRow(
        number=number,
        about=_("%(subject)s, from %(since)s", subject=subject, since=book.time(finding.onset_at)),
        here=tuple(_here(each, book) for each in food.here if each.birds),
        made_good=tuple(_made_good(each, book) for each in food.made_good),
        released=tuple(_released(entry, book) for entry in food.released if isinstance(entry, Release)),
        gone=(*(_gone(each, finding, book) for each in food.gone), *_told(finding, food, book)),
    )


def _here(each: FoodHere, book: Logbook) -> str:
    where = words.subject_words(each.holder)
    unit = _unit_of(each, book)
    holder = _("%(holder)s, unit %(unit)s", holder=where, unit=unit) if unit else where
    return _("%(birds)s in %(holder)s", birds=words.birds(each.birds), holder=holder)


def _unit_of(each: FoodHere, book: Logbook) -> str | None:
    day = book.assessment
    if each.holder.kind == "tray":
        return next((tray.hot_unit for tray in day.trays if tray.tray == each.holder.name), None)
    if each.holder.kind == "batch":
        return next((batch.cold_unit for batch in day.batches if batch.batch == each.holder.name), None)
    return None


def _released(entry: Release, book: Logbook) -> str:
    at = book.seen_and_written(entry)
    return _("%(by)s, %(at)s. Basis: %(basis)s", by=book.by(entry), at=at, basis=entry.basis)


def _made_good(each: FoodMadeGood, book: Logbook) -> str:
    what = {"birds": words.birds(each.birds), "at": book.time(each.at)}
    what["into"] = words.subject_words(each.into) if each.into else _("no tray")
    if each.holder.kind != "spit":
        return _("%(birds)s reheated, done at %(at)s into %(into)s", **what)
    spit = words.subject_words(each.holder)
    cooked = _("%(birds)s cooked on (%(spit)s), pulled at %(at)s into %(into)s", spit=spit, **what)
    lowest = _lowest_on(each.holder, book)
    return cooked if lowest is None else _("%(cooked)s, lowest %(lowest)s", cooked=cooked, lowest=lowest)


def _lowest_on(spit: Subject, book: Logbook) -> str | None:
    """Give the lowest of the latest readings on a spit, in words."""
    spits = (view for load in book.assessment.loads if load.load == spit.name for view in load.spits)
    view = next((view for view in spits if view.spit == spit.spit), None)
    return None if view is None or view.lowest is None else words.measured(view.lowest)


def _gone(each: FoodGone, finding: Finding, book: Logbook) -> str:
    what = {"birds": words.birds(each.birds), "to": words.to_word(each.to), "at": book.time(each.at)}
    if each.at < finding.onset_at:
        return _("%(birds)s %(to)s at %(at)s, before it was set aside", **what)
    if each.to == "discarded":
        return _("%(birds)s thrown away at %(at)s", **what)
    return _("%(birds)s %(to)s at %(at)s, while set aside", **what)


def _told(finding: Finding, food: Food, book: Logbook) -> list[str]:
    """Say who was told, by the actions about the finding itself and about what left while its food was set aside."""
    left = {each.at for each in food.gone}
    also = [one for one in book.findings if one.rule == "aside.left" and one.onset_at in left]
    answers = (book.assessment.answers.get(one.key) for one in (finding, *also))
    actions = {action.root: action for given in answers if given for action in given.actions if action.told}
    return [
        _("told: %(told)s (%(by)s, %(at)s)", told=action.told, by=book.by(action), at=book.seen_and_written(action))
        for action in actions.values()
    ]
