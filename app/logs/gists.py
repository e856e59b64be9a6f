"""A load or a tray in a line: birds, lowest reading, where they went; the same on page one and in a fold."""

from collections.abc import Iterable
from decimal import Decimal

from app import words
from app.kinds import Temperature, TrayOut, of_kind
from app.rules.day.subjects_shown import LoadView, TrayView
from app.words.marking import gettext as _
from app.words.marking import ngettext


def load_gist(load: LoadView) -> str:
    """Give a load in a line: `3 spits, 18 birds, lowest 166 °F`."""
    return _joined(spits_words(load), _lowest_words(lowest_of(load)))


def tray_gist(tray: TrayView) -> str:
    """Give a tray in a line: `6 birds, lowest 142 °F, 6 served`."""
    went = where_it_went(of_kind(tray.history, TrayOut), tray.birds_left)
    return _joined(words.birds(tray.birds_in), _lowest_words(lowest_held(tray)), went)


def spits_words(load: LoadView) -> str:
    """Give how many spits and birds a load has: `3 spits, 18 birds`."""
    birds = sum(spit.birds for spit in load.spits)
    spits = ngettext("%(count)s spit", "%(count)s spits", len(load.spits), count=len(load.spits))
    return _("%(spits)s, %(birds)s", spits=spits, birds=words.birds(birds))


def lowest_of(load: LoadView) -> Temperature | None:
    """Give the lowest reading of a load by which its spits are judged; None before the first."""
    return min((spit.lowest for spit in load.spits if spit.lowest), key=lambda read: read.celsius, default=None)


def lowest_held(tray: TrayView) -> Temperature | None:
    """Give the lowest reading of a tray in hot holding; None before the first."""
    return min((one.entry.reading for one in tray.held), key=lambda read: read.celsius, default=None)


def where_it_went(outs: Iterable[TrayOut], left: Decimal) -> str:
    """Give how many birds of a tray went which way, and how many are left: `3¼ served, 2¾ discarded`."""
    ways: dict[str, Decimal] = {}
    for out in outs:
        way = _way(out)
        ways[way] = ways.get(way, Decimal(0)) + out.birds
    said = [f"{words.bird_count(birds)} {way}" for way, birds in ways.items()]
    if left:
        said.append(_("%(count)s left", count=words.bird_count(left)))
    return ", ".join(said)


def _way(out: TrayOut) -> str:
    if out.into is not None:
        return _("into tray %(tray)s", tray=out.into)
    if out.batch is not None:
        return _("into batch %(batch)s", batch=out.batch)
    return words.to_word(out.to)


def _lowest_words(lowest: Temperature | None) -> str:
    return _("lowest %(lowest)s", lowest=words.measured(lowest)) if lowest else ""


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)
