"""The pages in the header: which there are for whom."""

from dataclasses import dataclass

from flask import request, url_for
from flask_babel import LazyString
from flask_babel import lazy_gettext as _

_KITCHEN = ("cook", "in_charge")


@dataclass(frozen=True, slots=True)
class Place:
    """A page in the header: its endpoint, its name and who sees it."""

    endpoint: str
    label: LazyString
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Item:
    """A place as one person sees it now."""

    href: str
    label: LazyString
    is_here: bool


PLACES: tuple[Place, ...] = ()


def items(role: str) -> list[Item]:
    """Give the header's pages for a role."""
    return [
        Item(url_for(place.endpoint), place.label, request.endpoint == place.endpoint)
        for place in PLACES
        if role in place.roles
    ]
