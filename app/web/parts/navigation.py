"""The pages in the header: which there are for whom."""

from dataclasses import dataclass

from flask import request, url_for
from flask_babel import LazyString
from flask_babel import lazy_gettext as _

_KITCHEN = ("cook", "in_charge")
_CHECKS = ("probes", "storage", "cooling", "batches_out", "reheating", "checklists", "out_of_use")


@dataclass(frozen=True, slots=True)
class Place:
    """A page in the header: its endpoint, its name and who sees it."""

    endpoint: str
    label: LazyString
    roles: tuple[str, ...]
    within: tuple[str, ...] = ()
    """Subjects whose pages are reached from it."""


@dataclass(frozen=True, slots=True)
class Item:
    """A place as one person sees it now."""

    href: str
    label: LazyString
    is_here: bool


PLACES = (
    Place("home.now", _("Now"), _KITCHEN),
    Place("checklists.index", _("Checks"), _KITCHEN, _CHECKS),
    Place("findings.index", _("Findings"), _KITCHEN),
    Place("mending.entries", _("Entries"), _KITCHEN),
    Place("days.index", _("Days"), ("in_charge", "inspector"), ("trends", "trend_lists")),
    Place("tracing.trace", _("Trace"), ("in_charge", "inspector")),
    Place("inspection.index", _("Chain"), ("inspector",)),
    Place("setup.index", _("Set-up"), ("in_charge",)),
)


def items(role: str) -> list[Item]:
    """Give the header's pages for a role."""
    return [Item(url_for(place.endpoint), place.label, _is_here(place)) for place in PLACES if role in place.roles]


def _is_here(place: Place) -> bool:
    """Whether this is the page itself, one below it (`/setup/people` is below `/setup`), or one reached from it."""
    path = url_for(place.endpoint)
    is_below = path != "/" and request.path.startswith(f"{path}/")
    return request.endpoint == place.endpoint or is_below or request.blueprint in place.within
