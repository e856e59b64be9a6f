"""What published texts ask of a HACCP plan, point by point, and in which section of the document each is answered."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.words.marking import N_
from app.words.marking import gettext as _

from .blocks import Block, Section


@dataclass(frozen=True, slots=True)
class PointOfLaw:
    """A point: its source, what it asks (a message to translate), and the key of the section that answers it."""

    source: str
    asks: str
    section: str


_FOOD_CODE = "Food Code 8-201.14"  # read in WAC 246-215-08215 and a county code: the letters differ between editions
_CFR = "9 CFR 417"
_CODEX = "CXC 1-1969"

POINTS: Sequence[PointOfLaw] = (
    PointOfLaw(_FOOD_CODE, N_("categories of food"), "product"),
    PointOfLaw(_FOOD_CODE, N_("flow diagram with the critical control points"), "flow"),
    PointOfLaw(_FOOD_CODE, N_("ingredients and recipes"), "recipes"),
    PointOfLaw(_FOOD_CODE, N_("materials and equipment"), "flow"),
    PointOfLaw(_FOOD_CODE, N_("training of workers and supervisors"), "training"),
    PointOfLaw(_FOOD_CODE, N_("each critical control point"), "points"),
    PointOfLaw(_FOOD_CODE, N_("the critical limits of each"), "limits"),
    PointOfLaw(_FOOD_CODE, N_("how and how often it is monitored, and by whom"), "monitoring"),
    PointOfLaw(_FOOD_CODE, N_("how and how often the person in charge verifies it"), "verification"),
    PointOfLaw(_FOOD_CODE, N_("what is done when a limit is not met"), "actions"),
    PointOfLaw(_FOOD_CODE, N_("the records that are kept"), "records"),
    PointOfLaw(_FOOD_CODE, N_("further data that the authority asks for"), "validation"),
    PointOfLaw("Food Code 3-501.19", N_("the written procedure for time as the control"), "time_control"),
    PointOfLaw(f"{_CFR}.2(c)(1)", N_("the hazards"), "hazards"),
    PointOfLaw(f"{_CFR}.2(c)(2)", N_("the critical control points"), "points"),
    PointOfLaw(f"{_CFR}.2(c)(3)", N_("the critical limits"), "limits"),
    PointOfLaw(f"{_CFR}.2(c)(4)", N_("monitoring and its frequency"), "monitoring"),
    PointOfLaw(f"{_CFR}.2(c)(5)", N_("corrective actions"), "actions"),
    PointOfLaw(f"{_CFR}.2(c)(6)", N_("records with actual values"), "records"),
    PointOfLaw(f"{_CFR}.2(c)(7)", N_("verification and its frequency"), "verification"),
    PointOfLaw(f"{_CFR}.2(d)", N_("signed and dated when adopted and when changed"), "history"),
    PointOfLaw(f"{_CFR}.4(a)(3)", N_("reassessment once a year and after a change"), "verification"),
    PointOfLaw(f"{_CFR}.3(b)(4)", N_("reassessment after a deviation that nobody foresaw"), "actions"),
    PointOfLaw(f"{_CODEX}, 1", N_("the team"), "team"),
    PointOfLaw(f"{_CODEX}, 2", N_("description of the food"), "product"),
    PointOfLaw(f"{_CODEX}, 3", N_("who it is for"), "product"),
    PointOfLaw(f"{_CODEX}, 4", N_("flow diagram"), "flow"),
    PointOfLaw(f"{_CODEX}, 5", N_("the flow confirmed in the kitchen itself"), "flow"),
    PointOfLaw(f"{_CODEX}, 6", N_("hazards and how they are controlled"), "hazards"),
    PointOfLaw(f"{_CODEX}, 7", N_("critical control points"), "points"),
    PointOfLaw(f"{_CODEX}, 8", N_("critical limits that are validated"), "limits"),
    PointOfLaw(f"{_CODEX}, 9", N_("monitoring"), "monitoring"),
    PointOfLaw(f"{_CODEX}, 10", N_("corrective actions"), "actions"),
    PointOfLaw(f"{_CODEX}, 11", N_("validation and verification"), "validation"),
    PointOfLaw(f"{_CODEX}, 12", N_("documents and records"), "records"),
)
"""9 CFR 417.2(c) and (d) were read (editions of 2005 and 2007). The twelve steps of CXC 1-1969: read as ISO 22000:2018,
Annex A, repeats them."""


def points_of_law(sections: Sequence[Section]) -> Section:
    """Give the table of points: where each stands, and where the kitchen still has to write."""
    found = {section.key: section for section in sections}
    rows = [(point.source, _(point.asks), _answered(found[point.section])) for point in POINTS]
    heads = (_("Text"), _("What it asks for"), _("Where it stands here"))
    lines = (
        _("Food Code: FDA Food Code. 9 CFR 417 binds inspected plants; it is a good pattern for a kitchen."),
        _("CXC 1-1969: Codex Alimentarius, General Principles of Food Hygiene, its twelve steps."),
    )
    return Section(
        key="points_of_law",
        title=_("What published texts ask of a plan, and where it stands"),
        blocks=(Block(lines=lines, heads=heads, rows=rows, widths=(19, 40, 41)),),
    )


def _answered(section: Section) -> str:
    if not section.blocks:
        return _("missing")
    if section.missing:
        return _("section %(section)s; the kitchen's own text is missing", section=section.heading)
    return _("section %(section)s", section=section.heading)
