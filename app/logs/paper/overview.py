"""Page one's tables: one line a load, one line a tray."""

from dataclasses import dataclass
from datetime import datetime

from app import words
from app.kinds import HoldReading, TrayOut, of_kind
from app.rules.day.subjects_shown import LoadView, TrayView
from app.rules.facts import worst
from app.words.marking import gettext as _

from ..blocks import VerdictWords, verdict_words
from ..gists import lowest_held, lowest_of, spits_words, where_it_went
from ..lines import Logbook
from .drawings import TimeAxis, TrayLine


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadRow:
    """A load in one line."""

    load: str
    oven: str
    started: str
    spits: str
    lots: str
    lowest: str
    pulled: str
    verdict: VerdictWords


@dataclass(frozen=True, slots=True, kw_only=True)
class TrayRow:
    """A tray in one line."""

    tray: str
    birds: str
    line: TrayLine
    lowest: str
    is_low: bool
    """Whether a reading was under the limit."""
    checks: str
    out: str
    """For how long it was out of temperature."""
    went: str
    verdict: VerdictWords


def load_rows(book: Logbook) -> tuple[LoadRow, ...]:
    """Give every load of the day, in order."""
    return tuple(_load(load, book) for load in book.assessment.loads)


def _load(load: LoadView, book: Logbook) -> LoadRow:
    lowest = lowest_of(load)
    return LoadRow(
        load=load.load,
        oven=load.oven,
        started=book.time(load.started_at),
        spits=spits_words(load),
        lots=", ".join(dict.fromkeys(lot for spit in load.spits for lot in spit.lots)) or "–",
        lowest=words.measured(lowest) if lowest else "–",
        pulled=_pulled(load, book),
        verdict=verdict_words(worst(spit.verdict for spit in load.spits)),
    )


def _pulled(load: LoadView, book: Logbook) -> str:
    pulls = sorted(pull.observed_at for spit in load.spits for pull in spit.pulls)
    still_on = sum(spit.birds_on for spit in load.spits)
    said = [_from_to(pulls[0], pulls[-1], book)] if pulls else []
    if still_on:
        said.append(_("%(birds)s still on", birds=words.birds(still_on)))
    return ", ".join(said) or "–"


def _from_to(first: datetime, last: datetime, book: Logbook) -> str:
    start, end = book.time(first), book.time(last)
    return start if start == end else _("%(start)s to %(end)s", start=start, end=end)


def tray_rows(book: Logbook, axis: TimeAxis) -> tuple[TrayRow, ...]:
    """Give every tray of the day, in order, on one time axis."""
    return tuple(_tray(tray, axis) for tray in book.assessment.trays)


def _tray(tray: TrayView, axis: TimeAxis) -> TrayRow:
    lowest = lowest_held(tray)
    return TrayRow(
        tray=tray.tray,
        birds=words.bird_count(tray.birds_in),
        line=axis.draw(tray),
        lowest=words.measured(lowest) if lowest else "–",
        is_low=any(one.is_low for one in tray.held),
        checks=str(len(of_kind(tray.history, HoldReading))),
        out=words.duration(tray.out_of_temperature_s) if tray.out_of_temperature_s else "–",
        went=where_it_went(of_kind(tray.history, TrayOut), tray.birds_left),
        verdict=verdict_words(tray.verdict),
    )
