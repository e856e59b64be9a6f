"""Food set aside, as the kitchen's pages show it: where, since when, why, and what may be done with it now."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from flask import url_for
from flask_babel import gettext as _

from app import words
from app.kinds import Subject
from app.kinds.permissions import Permission
from app.rules.day.food_shown import SetAsideView
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import SpitView
from app.rules.facts import Verdict
from app.rules.meaning.holding import must_go

from ..signin import identity


@dataclass(frozen=True, slots=True)
class Way:
    """One thing that may be done with it, and the page that does it."""

    label: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class AsideLine:
    """One holder whose food is set aside."""

    title: str
    href: str
    why: str
    since: str
    ways: tuple[Way, ...]
    """The ways that are right now, the release last where the reader may give it."""
    other: str | None
    """Where it is written down that it is out of the kitchen already; None where its own page has the other ways."""
    others: tuple[Way, ...]
    """Ways that are not right now, and by which the food stays in the kitchen."""


def aside_lines(assessment: Assessment) -> list[AsideLine]:
    """Give everything that is set aside now, the longest first."""
    found = sorted(_held(assessment), key=lambda one: one[1].since)
    return [_line(assessment, subject, view) for subject, view in found]


def aside_line(assessment: Assessment, subject: Subject, view: SetAsideView | None) -> AsideLine | None:
    """Give what is set aside in one holder; None where nothing is."""
    return None if view is None else _line(assessment, subject, view)


def load_lines(assessment: Assessment, load: str) -> list[AsideLine]:
    """Give what is set aside on the spits of a load."""
    found = ((subject, view) for subject, view in _held(assessment) if (subject.kind, subject.name) == ("spit", load))
    return [_line(assessment, subject, view) for subject, view in found]


def _held(assessment: Assessment) -> Iterator[tuple[Subject, SetAsideView]]:
    for load in assessment.loads:
        spits = ((Subject("spit", load.load, one.spit), one.set_aside) for one in load.spits)
        yield from ((subject, view) for subject, view in spits if view is not None)
    trays = ((Subject("tray", one.tray), one.set_aside) for one in assessment.trays)
    batches = ((Subject("batch", one.batch), one.set_aside) for one in assessment.batches)
    reheats = ((Subject("reheat", one.reheat), one.set_aside) for one in assessment.reheats)
    for held in (trays, batches, reheats):
        yield from ((subject, view) for subject, view in held if view is not None)


def _line(assessment: Assessment, subject: Subject, view: SetAsideView) -> AsideLine:
    ways = [*_WAYS[subject.kind](assessment, subject, view)]
    if view.release and identity.may(Permission.RELEASE_FOOD):
        ways.append(Way(_("Release it"), url_for("releasing.release", finding=list(view.findings))))
    page_of_other = _OTHERWISE.get(subject.kind)
    return AsideLine(
        title=words.sentence_start(words.subject_words(subject)),
        href=_PAGES[subject.kind](subject),
        why=_why(assessment, view),
        since=words.local_time(view.since, assessment.site.timezone, day=assessment.day),
        ways=tuple(ways),
        other=page_of_other(subject) if page_of_other else None,
        others=tuple(_others(subject, view)),
    )


def _why(assessment: Assessment, view: SetAsideView) -> str:
    said = [words.finding_words(finding, assessment).sentence for finding in view.reasons]
    if view.release and not identity.may(Permission.RELEASE_FOOD):
        said.append(_("Somebody in charge may release it."))
    if view.cleared:
        said.append(_("An entry was corrected since. Somebody in charge reviews it."))
    return " ".join(dict.fromkeys(said))


_PAGES: Mapping[str, Callable[[Subject], str]] = {
    "spit": lambda subject: url_for("cooking.load_page", load=subject.name),
    "tray": lambda subject: url_for("holding.tray_page", tray=subject.name),
    "batch": lambda subject: url_for("cooling.batch_page", batch=subject.name),
    "reheat": lambda subject: url_for("reheating.reheat_page", reheat=subject.name),
}
_OTHERWISE: Mapping[str, Callable[[Subject], str]] = {
    "tray": lambda subject: url_for("already_out.of_tray", tray=subject.name),
    "batch": lambda subject: url_for("already_out.of_batch", batch=subject.name),
}
_STAYS_HERE = {
    "tray": ("prepared", "chilled", "reheated", "other_tray", "returned_to_oven"),
    "batch": ("prepared", "reheated"),
}
"""Ways by which food stays in the kitchen, by what it comes out of; what is prepared may be kept cold."""


def ways_out(subject: Subject, ways: Iterable[str]) -> list[Way]:
    """Give buttons for ways out of a tray or batch: what makes it good stands first."""
    in_order = sorted(ways, key=lambda to: to not in _MADE_GOOD_BY)
    return [Way(words.do_word(to), _out(subject, to)) for to in in_order]


def _others(subject: Subject, view: SetAsideView) -> Iterator[Way]:
    for to in _STAYS_HERE.get(subject.kind, ()):
        if to not in view.ways:
            yield Way(words.sentence_start(words.to_word(to)), _out(subject, to))


def _out(subject: Subject, to: str) -> str:
    """Give the page that takes birds out of a tray or batch."""
    if subject.kind == "tray":
        return url_for("trays_out.tray_out", tray=subject.name, to=to)
    if to == "reheated":
        return url_for("batches_out.reheat_started", batch=subject.name)
    return url_for("batches_out.batch_out", batch=subject.name, to=to)


# ---- what may be done, by what holds the food ------------------------------------------------------------------------


_MADE_GOOD_BY = ("reheated", "returned_to_oven")
"""Ways by which food is made good: their buttons stand first."""


def _of_spit(assessment: Assessment, subject: Subject, _view: SetAsideView) -> Iterator[Way]:
    load, number = subject.name, subject.spit
    if _spit(assessment, subject).if_pulled is Verdict.MET:
        yield Way(_("Pull"), url_for("pulling.spit_pulled", load=load, spit=number))
    else:
        yield Way(_("Probe"), url_for("cooking.cook_reading", load=load, spit=number))
    yield Way(words.do_word("discarded"), url_for("pulling.spit_pulled", load=load, spit=number, away="all"))


def _spit(assessment: Assessment, subject: Subject) -> SpitView:
    load = next(one for one in assessment.loads if one.load == subject.name)
    return next(one for one in load.spits if one.spit == subject.spit)


def _of_food(assessment: Assessment, subject: Subject, view: SetAsideView) -> Iterator[Way]:
    yield from ways_out(subject, view.ways)
    tray = next((one for one in assessment.trays if one.tray == subject.name and subject.kind == "tray"), None)
    if tray is not None and tray.check_due_at is not None and not must_go(tray):  # what is kept hot is still checked
        yield Way(_("Check"), url_for("holding.hold_reading", tray=subject.name))


def _of_reheat(_assessment: Assessment, subject: Subject, view: SetAsideView) -> Iterator[Way]:
    if view.can_be_made_good:
        yield Way(_("Heat through and check"), url_for("reheating.reheat_reading", reheat=subject.name))
    yield Way(words.do_word("discarded"), url_for("reheating.reheat_done", reheat=subject.name, away="all"))


_WAYS: Mapping[str, Callable[[Assessment, Subject, SetAsideView], Iterator[Way]]] = {
    "spit": _of_spit,
    "tray": _of_food,
    "batch": _of_food,
    "reheat": _of_reheat,
}
