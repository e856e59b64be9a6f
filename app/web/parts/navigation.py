"""The pages in the header: which there are for whom, by what they may do."""

from dataclasses import dataclass

from flask import request, url_for
from flask_babel import LazyString
from flask_babel import lazy_gettext as _

from app.kinds.permissions import Permission, may

_CHECKS = ("probes", "storage", "cooling", "batches_out", "reheating", "checklists", "out_of_use")


@dataclass(frozen=True, slots=True)
class Place:
    """A page in the header: its endpoint, its name and what somebody may do who sees it."""

    endpoint: str
    label: LazyString
    permission: Permission
    within: tuple[str, ...] = ()
    """Subjects whose pages are reached from it."""
    unless: Permission | None = None
    """Whoever may do this has no use for it in the header: they come to it from another page."""

    def is_for(self, role: str) -> bool:
        """Whether people of this role see it."""
        return may(role, self.permission) and not (self.unless and may(role, self.unless))


@dataclass(frozen=True, slots=True)
class Item:
    """A place as one person sees it now."""

    href: str
    label: LazyString
    is_here: bool


PLACES = (
    Place("home.now", _("Now"), Permission.RECORD_KITCHEN_ENTRY),
    Place("checklists.index", _("Checks"), Permission.RECORD_KITCHEN_ENTRY, _CHECKS),
    Place("findings.index", _("Findings"), Permission.ANSWER_FINDING),
    Place("mending.entries", _("Entries"), Permission.MEND_ENTRY),
    Place(
        "days.index",
        _("Days"),
        Permission.READ_DAY,
        ("trends", "trend_lists", "weeks", "calibration", "export", "calendar", "review", "signed_logs"),
    ),
    Place("at_the_door.signed_in", _("30 days"), Permission.READ_DAY, unless=Permission.READ_SETUP),
    Place("tracing.trace", _("Trace"), Permission.READ_DAY),  # open to more than have it in their header
    Place("plan_document.newest", _("Plan"), Permission.READ_RECORDS, unless=Permission.READ_SETUP),
    Place("inspection.index", _("Chain"), Permission.READ_LEDGER, unless=Permission.READ_SETUP),
    Place("setup.index", _("Set-up"), Permission.READ_SETUP),
)


def items(role: str) -> list[Item]:
    """Give the header's pages for a role."""
    places = [place for place in PLACES if place.is_for(role)]
    # The page itself comes before one that it is only below of: /inspection/days is a place of its own.
    current = [place for place in places if place.endpoint == request.endpoint] or list(filter(_is_here, places))
    return [Item(url_for(place.endpoint), place.label, place in current) for place in places]


def here() -> str | None:
    """Give the page to come back to after saying who one is; None for what is no page to look at."""
    if request.blueprint == "signin":
        return request.args.get("next")
    return request.full_path.removesuffix("?") if request.method == "GET" else None


def _is_here(place: Place) -> bool:
    """Whether this is a page below it (`/setup/people` is below `/setup`), or one reached from it."""
    path = url_for(place.endpoint)
    is_below = path != "/" and request.path.startswith(f"{path}/")
    return is_below or request.blueprint in place.within
