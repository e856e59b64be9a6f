"""What was saved of a spit or a tray while its pad was open, by whatever device: told on the pad, and drawn there.

The pad asks every few seconds. Where nothing was saved in the kitchen since, the answer is 304, and no day is assessed.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal

from flask import Blueprint, Response, abort, make_response, render_template, request, url_for
from flask_babel import gettext as _

from app import words
from app.kinds import CookReading, Entry, HoldReading, SpitPulled, TrayOut, Withdrawal
from app.kinds.naming import names_of
from app.kinds.permissions import Permission
from app.logs.drawings import rod
from app.rules.day.shown import Assessment
from app.rules.day.subjects_shown import LoadView, SpitView, TrayView
from app.rules.meaning import cooking as meaning
from app.rules.meaning import holding

from ..signin.identity import requires
from . import made_once
from .next_bird import following, next_spit
from .tray_jobs import late_line, tray_line

blueprint = Blueprint("meanwhile", __name__)

_MOST_SHOWN = 2
"""As many lines have room beside the button that saves."""


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


@blueprint.get("/loads/<load>/spits/<int:spit>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_spit(load: str, spit: int) -> Response:
    """Give what was saved of a spit after an entry (`since`), and the spit as it stands now."""
    return _unless_known(lambda day: _of_spit(day, load, spit))


@blueprint.get("/trays/<tray>/meanwhile")
@requires(Permission.RECORD_KITCHEN_ENTRY)
def of_tray(tray: str) -> Response:
    """Give what was saved of a tray after an entry (`since`), and the tray as it stands now."""
    return _unless_known(lambda day: _of_tray(day, tray))


def _unless_known(part_of: Callable[[Assessment], str]) -> Response:
    tag = made_once.newest_entry()
    if request.if_none_match.contains_weak(tag):
        answer = make_response("", 304)
    else:
        answer = make_response(part_of(made_once.day_at_present()))
    answer.set_etag(tag)
    return answer


def _of_spit(day: Assessment, name: str, number: int) -> str:
    load = next((one for one in day.loads if one.load == name), None) or abort(404)
    spit = next((one for one in load.spits if one.spit == number), None) or abort(404)
    other = next_spit(load, number)
    return render_template(
        "cooking/_meanwhile.html",
        lines=spit_lines(day, load, spit, since=_since()),
        spit=spit,
        rod=rod(load, spit),
        following=following(load, spit),
        next_spit=url_for("cooking.cook_reading", load=name, spit=other) if other else "",
    )


def _of_tray(day: Assessment, name: str) -> str:
    tray = next((one for one in day.trays if one.tray == name), None) or abort(404)
    return render_template(
        "holding/_meanwhile.html",
        lines=tray_lines(day, tray, since=_since()),
        line=tray_line(tray),
        tray=tray,
        late=holding.late_check(tray, day.as_of),
        late_line=late_line(tray, day),
    )


def _since() -> int:
    return request.args.get("since", type=int) or 0


def spit_lines(day: Assessment, load: LoadView, spit: SpitView, *, since: int) -> list[Line]:
    """Say what was saved of a spit after an entry, the newest first; that its birds are off stands alone."""
    saved = [one for one in _saved(day, since) if _spit_of(one.of) == (load.load, spit.spit)]
    return _shown(_spit_line(day, load, spit, one) for one in saved)


def tray_lines(day: Assessment, tray: TrayView, *, since: int) -> list[Line]:
    """Say what was saved of a tray after an entry, the newest first; that it is empty stands alone."""
    saved = [one for one in _saved(day, since) if ("tray", tray.tray) in names_of(one.of)]
    return _shown(_tray_line(day, tray, one) for one in saved)


def _saved(day: Assessment, since: int) -> list[_Saved]:
    later = [one for one in day.entries if one.seq > since and one.id not in day.superseded_by]
    firsts = {one.root_seq: one for one in day.entries if one.seq == one.root_seq}
    newest_first = sorted(later, key=lambda one: one.seq, reverse=True)
    return [_Saved(one, firsts.get(one.root_seq, one) if isinstance(one, Withdrawal) else one) for one in newest_first]


def _shown(lines: Iterable[Line]) -> list[Line]:
    found = list(lines)
    return [line for line in found if line.is_gone][:1] or found[:_MOST_SHOWN]


def _spit_of(entry: Entry) -> tuple[str, int]:
    return getattr(entry, "load", None) or "", getattr(entry, "spit", None) or 0


def _spit_line(day: Assessment, load: LoadView, spit: SpitView, saved: _Saved) -> Line:
    said, entry = _by(day, saved.entry), saved.entry
    if isinstance(entry, CookReading):
        return Line(_bird(load, entry, said))
    if isinstance(entry, SpitPulled):
        return _pulled(spit, entry, said)
    return Line(_other(day, saved, said))


def _bird(load: LoadView, entry: CookReading, said: dict[str, object]) -> str:
    bird = {**said, "bird": entry.bird, "reading": words.measured(entry.reading)}
    if entry.amends:
        return str(_("Bird %(bird)s was corrected by %(name)s: %(reading)s.", **bird))
    if meaning.places(load) == (entry.place,):
        return str(_("Bird %(bird)s was read at %(time)s by %(name)s: %(reading)s.", **bird))
    bird["place"] = words.place_word(entry.place)
    return str(_("Bird %(bird)s, %(place)s, was read at %(time)s by %(name)s: %(reading)s.", **bird))


def _pulled(spit: SpitView, entry: SpitPulled, said: dict[str, object]) -> Line:
    if entry.tray is None:
        pulled = _("Pulled at %(time)s by %(name)s: thrown away.", **said)
    else:
        tray = words.short_name(entry.tray)
        pulled = _("Pulled at %(time)s by %(name)s into tray %(tray)s.", **said, tray=tray)
    left = _left(spit.birds_on) if spit.birds_on else _("No bird is left on this spit.")
    return Line(f"{left} {pulled}", is_gone=not spit.birds_on)


def _tray_line(day: Assessment, tray: TrayView, saved: _Saved) -> Line:
    said, entry = _by(day, saved.entry), saved.entry
    if isinstance(entry, HoldReading):
        reading = {**said, "reading": words.measured(entry.reading)}
        if entry.amends:
            return Line(_("The reading was corrected by %(name)s: %(reading)s.", **reading))
        return Line(_("This tray was checked at %(time)s by %(name)s: %(reading)s.", **reading))
    if isinstance(entry, TrayOut) and entry.tray == tray.tray:
        out = _("%(what)s: %(birds)s at %(time)s by %(name)s.", **said, **_out(entry))
        left = _("The tray is empty.") if not tray.birds_left else _left(tray.birds_left)
        return Line(f"{left} {out}", is_gone=not tray.birds_left)
    return Line(_other(day, saved, said))


def _out(entry: TrayOut) -> dict[str, object]:
    return {"what": words.sentence_start(words.to_word(entry.to)), "birds": words.birds(entry.birds)}


def _left(birds: Decimal | int) -> str:
    return str(_("%(birds)s left.", birds=words.birds(birds)))


def _other(day: Assessment, saved: _Saved, said: dict[str, object]) -> str:
    if isinstance(saved.entry, Withdrawal):
        what = words.line_words(saved.of, day.site.timezone)
        return str(_("Withdrawn at %(time)s by %(name)s: %(what)s.", **said, what=what))
    return str(_("%(what)s at %(time)s by %(name)s.", **said, what=words.kind_word(saved.entry.kind)))


def _by(day: Assessment, entry: Entry) -> dict[str, object]:
    by = day.site.people.get(entry.person)
    seen_at = entry.recorded_at if isinstance(entry, Withdrawal) else entry.observed_at
    at = words.local_time(seen_at, day.site.timezone, day=day.day)
    return {"name": by.name if by else entry.person, "time": at}
