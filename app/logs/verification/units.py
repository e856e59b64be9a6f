"""The cold and hot-holding units of a week."""

from app import words
from app.rules.figures.week import UnitWeek, Week
from app.words.marking import gettext as _

from .listing import Listing, Row


def unit_listing(week: Week) -> Listing:
    """Give the cold and hot-holding units with their checks, those outside the limit and those not in control."""
    head = (
        *(_("Unit"), _("Checks"), _("Outside the limit"), _("Not in control")),
        *(_("Tray readings"), _("Under the limit")),
    )
    return Listing(
        name="units",
        title=_("Cold and hot-holding units"),
        head=head,
        rows=tuple(_unit_row(one) for one in week.units),
        nothing=_("No cold or hot-holding unit is listed."),
        foot=_(
            "In control means that nothing unusual shows over two months. It does not mean that the limit is met: only "
            "the limit decides."
        ),
    )


def _unit_row(unit: UnitWeek) -> Row:
    name = _("%(unit)s, %(kind)s", unit=unit.code, kind=words.equipment_word(unit.kind))
    unusual = _("too few checks") if unit.unusual is None else str(unit.unusual)
    trays = (str(unit.held), str(unit.low)) if unit.kind == "hot_unit" else ("–", "–")
    return Row(cells=(name, str(unit.checks), str(unit.outside), unusual, *trays))
