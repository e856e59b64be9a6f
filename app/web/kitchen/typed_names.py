"""Names as they are typed: `T12` is tray A-T12 where that stands here and screens call it so; `l-77` is lot L-77."""

from collections.abc import Callable, Iterator, Mapping

from flask_babel import gettext as _

from app import ledger, words
from app.rules.day.shown import Assessment
from app.server import get_database

from ..parts.page_form import PageForm
from ..signin import identity
from .ovens import loads_in_ovens
from .running_day import assess_today


def _trays(day: Assessment) -> Iterator[str]:
    yield from (one.tray for one in day.trays if one.birds_left)


def _batches(day: Assessment) -> Iterator[str]:
    yield from (one.batch for one in day.batches if one.birds_left)


def _reheats(day: Assessment) -> Iterator[str]:
    yield from (one.reheat for one in day.reheats if one.birds_left)


def _loads(day: Assessment) -> Iterator[str]:
    yield from (one.load for one in loads_in_ovens(day))


_STANDING: Mapping[str, Callable[[Assessment], Iterator[str]]] = {
    "tray": _trays,
    "batch": _batches,
    "reheat": _reheats,
    "load": _loads,
}
"""The names of what holds birds now, by kind."""


def whole_name(kind: str, typed: str | None) -> str | None:
    """Give the whole name of what is meant by a typed one: that of the only one here whose short name it is."""
    text = (typed or "").strip()
    standing = _standing(kind, text)
    return standing or text or None


def whole_lot(typed: str | None) -> str | None:
    """Give the lot as it was delivered: a cook types it in capitals or not, and its delivery is to be found by it."""
    text = (typed or "").strip()
    if not text:
        return None
    with get_database().reading() as session:
        return ledger.as_delivered(session, identity.current().site.code, text)


def is_new(form: PageForm, field: str, kind: str, typed: str | None) -> bool:
    """Whether a new name is none by which screens call what stands here; told at its field where it is one."""
    standing = _standing(kind, (typed or "").strip())
    if standing is None:
        return True
    said = _("Screens say %(name)s for %(whole)s, which is still here. Give another name.", name=typed, whole=standing)
    form.refuse(field, said)
    return False


def _standing(kind: str, typed: str) -> str | None:
    """Give the only name of what holds birds that ends as was typed; None where there is none, or several."""
    if not typed or not words.names_ending(typed) - {typed}:
        return None
    standing = list(_STANDING[kind](assess_today()))
    found = [name for name in standing if name in words.names_ending(typed)]
    return found[0] if len(found) == 1 and typed not in standing else None
