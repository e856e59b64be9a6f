"""What was saved of one thing while its pad was open, in lines: a spit, tray, batch, reheat, unit or probe alike."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from flask_babel import gettext as _
from flask_babel import lazy_gettext as _l

from app import words
from app.kinds import (
    CookReading,
    Entry,
    ProbeCheck,
    ReheatDone,
    SpitPulled,
    Subject,
    UnitCheck,
    Withdrawal,
    temperature_of,
)
from app.kinds.naming import about, names_of
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import LoadView, SpitView
from app.rules.meaning import cooking as meaning

_MOST_SHOWN = 2
"""As many lines have room beside the button that saves."""

_CHECKED = {
    "tray": _l("This tray was checked at %(time)s by %(name)s: %(reading)s."),
    "batch": _l("This batch was checked at %(time)s by %(name)s: %(reading)s."),
    "reheat": _l("This reheat was checked at %(time)s by %(name)s: %(reading)s."),
    "unit": _l("This unit was checked at %(time)s by %(name)s: %(reading)s."),
    "probe": _l("This probe was checked at %(time)s by %(name)s: %(reading)s."),
}
_EMPTY = {
    "spit": _l("No bird is left on this spit."),
    "tray": _l("The tray is empty."),
    "batch": _l("The batch is finished."),
    "reheat": _l("The reheat has ended."),
}


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that was saved meanwhile, in a sentence."""

    says: str
    is_gone: bool = False
    """Whether it leaves nothing to be read: it stands alone, and louder."""


@dataclass(frozen=True, slots=True)
class _Saved:
    """An entry, and what it says: of a withdrawal, the entry that it takes back."""

    entry: Entry
    of: Entry


Said = dict[str, object]


def lines_of(day: Assessment, subject: Subject, *, since: int, left: Decimal | int | None = None) -> list[Line]:
    """Say what was saved of a tray, batch, reheat, unit or probe after an entry, the newest first.

    `left` are its birds by now: where none is, that stands alone.
    """
    return _lines(day, subject, left, since, lambda entry, said: _checked(subject.kind, entry, said))


def spit_lines(day: Assessment, load: LoadView, spit: SpitView, *, since: int) -> list[Line]:
    """Say what was saved of a spit after an entry, the newest first; that its birds are off stands alone."""
    subject = Subject("spit", load.load, spit.spit)
    return _lines(day, subject, spit.birds_on, since, lambda entry, said: _bird(load, entry, said))


def _lines(
    day: Assessment, subject: Subject, left: Decimal | int | None, since: int, reading: Callable[[Entry, Said], str]
) -> list[Line]:
    saved = (one for one in _saved(day, since) if _is_about(one.of, subject))
    return _shown(_line(day, subject, left, one, reading) for one in saved)


def _saved(day: Assessment, since: int) -> list[_Saved]:
    later = [one for one in day.entries if one.seq > since and one.id not in day.superseded_by]
    firsts = {one.root_seq: one for one in day.entries if one.seq == one.root_seq}
    newest_first = sorted(later, key=lambda one: one.seq, reverse=True)
    return [_Saved(one, firsts.get(one.root_seq, one) if isinstance(one, Withdrawal) else one) for one in newest_first]


def _shown(lines: Iterable[Line]) -> list[Line]:
    found = list(lines)
    return [line for line in found if line.is_gone][:1] or found[:_MOST_SHOWN]


def _is_about(entry: Entry, subject: Subject) -> bool:
    if subject.kind == "spit":
        return (getattr(entry, "load", None), getattr(entry, "spit", None)) == (subject.name, subject.spit)
    return (subject.kind, subject.name) in names_of(entry) or about(entry) == subject


def _is_read(entry: Entry) -> bool:
    return (entry.IS_READING or isinstance(entry, ProbeCheck)) and temperature_of(entry) is not None


def _line(
    day: Assessment,
    subject: Subject,
    left: Decimal | int | None,
    saved: _Saved,
    reading: Callable[[Entry, Said], str],
) -> Line:
    said, entry = _by(day, saved.entry), saved.entry
    if isinstance(entry, Withdrawal):
        what = words.line_words(saved.of, day.site.timezone)
        return Line(_("Withdrawn at %(time)s by %(name)s: %(what)s.", **said, what=what))
    if _is_read(entry):
        return Line(reading(entry, said))
    birds = -sum(flow.birds for flow in entry.flows() if flow.subject == subject and flow.birds < 0)
    if birds and left is not None:
        stays = _("%(birds)s left.", birds=words.birds(left)) if left else _EMPTY[subject.kind]
        return Line(f"{stays} {_went(entry, birds, said)}", is_gone=not left)
    return Line(_("%(what)s at %(time)s by %(name)s.", **said, what=words.kind_word(entry.kind)))


def _checked(kind: str, entry: Entry, said: Said) -> str:
    read = temperature_of(entry)
    reading = {**said, "reading": words.measured(read) if read else ""}
    if entry.amends:
        return str(_("The reading was corrected by %(name)s: %(reading)s.", **reading))
    if isinstance(entry, UnitCheck) and entry.of == "food":
        return str(_("Food in this unit was read at %(time)s by %(name)s: %(reading)s.", **reading))
    return str(_CHECKED[kind] % reading)


def _bird(load: LoadView, entry: Entry, said: Said) -> str:
    if not isinstance(entry, CookReading):
        return ""
    bird = {**said, "bird": entry.bird, "reading": words.measured(entry.reading)}
    if entry.amends:
        return str(_("Bird %(bird)s was corrected by %(name)s: %(reading)s.", **bird))
    if meaning.places(load) == (entry.place,):
        return str(_("Bird %(bird)s was read at %(time)s by %(name)s: %(reading)s.", **bird))
    bird["place"] = words.place_word(entry.place)
    return str(_("Bird %(bird)s, %(place)s, was read at %(time)s by %(name)s: %(reading)s.", **bird))


def _went(entry: Entry, birds: Decimal, said: Said) -> str:
    """Say where birds went: into a tray, away, or by the way out that was chosen."""
    if isinstance(entry, SpitPulled):
        if entry.tray is None:
            return str(_("Pulled at %(time)s by %(name)s: thrown away.", **said))
        return str(_("Pulled at %(time)s by %(name)s into tray %(tray)s.", **said, tray=words.short_name(entry.tray)))
    if isinstance(entry, ReheatDone) and entry.tray is not None:
        tray = words.short_name(entry.tray)
        return str(_("Put into tray %(tray)s at %(time)s by %(name)s.", **said, tray=tray))
    to = getattr(entry, "to", None) or ("discarded" if isinstance(entry, ReheatDone) else None)
    what = words.sentence_start(words.to_word(to)) if to else words.kind_word(entry.kind)
    return str(_("%(what)s: %(birds)s at %(time)s by %(name)s.", **said, what=what, birds=words.birds(birds)))


def _by(day: Assessment, entry: Entry) -> Said:
    by = day.site.people.get(entry.person)
    seen_at = entry.recorded_at if isinstance(entry, Withdrawal) else entry.observed_at
    at = words.local_time(seen_at, day.site.timezone, day=day.day)
    return {"name": by.name if by else entry.person, "time": at}
