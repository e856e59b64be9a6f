"""The blank form: what is written by hand in the hour in which nothing works, made from the plan in force.

Its sections and columns are those of the page on which it is typed in afterwards: whoever knows one knows the other.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from flask import current_app

from app import words
from app.rules.facts import Site
from app.rules.plans.limits import Limits
from app.rules.plans.plan import Plan
from app.words.marking import N_
from app.words.marking import gettext as _

from .heading import paper_size, place_words
from .paper.pdf import PAGE_COUNT, PAGE_NUMBER, STYLE, set_on_paper

OWN_STYLE = STYLE.with_name("blank_form.css")


@dataclass(frozen=True, slots=True)
class Section:
    """One table of the form: what one row of it becomes, its columns in their order, and how many rows there are."""

    kind: str
    title: str
    columns: tuple[str, ...]
    rows: int


SECTIONS: Mapping[str, Section] = {
    "loads": Section("load_started", N_("Loads started"), ("time", "load", "oven", "checks"), 6),
    "spits": Section("spit_loaded", N_("Spits loaded"), ("time", "load", "spit", "birds", "lot"), 6),
    "readings": Section(
        "cook_reading", N_("Birds probed"), ("time", "load", "spit", "bird", "place", "temperature", "probe"), 28
    ),
    "pulls": Section("spit_pulled", N_("Spits pulled"), ("time", "load", "spit", "birds", "tray", "hot_unit"), 8),
    "trays": Section("hold_reading", N_("Trays checked"), ("time", "tray", "temperature", "probe"), 24),
    "out": Section("tray_out", N_("Out of a tray"), ("time", "tray", "birds", "to", "batch"), 7),
    "cooling": Section("cooling_reading", N_("Cooling"), ("time", "batch", "temperature", "probe"), 7),
    "units": Section("unit_check", N_("Cold and hot units"), ("time", "unit_code", "of", "temperature"), 10),
    "probes": Section("probe_check", N_("Probes in ice water"), ("time", "probe", "temperature"), 6),
}
"""By name, in the order of the paper."""

COLUMNS: Mapping[str, str] = {
    "time": N_("Time"),
    "load": N_("Load"),
    "oven": N_("Oven"),
    "checks": N_("Checks all right"),
    "spit": N_("Spit"),
    "birds": N_("Birds"),
    "lot": N_("Lot"),
    "bird": N_("Bird"),
    "place": N_("Breast or thigh"),
    "temperature": N_("°F or °C"),
    "probe": N_("Probe"),
    "tray": N_("Tray"),
    "hot_unit": N_("Unit"),
    "to": N_("Where to"),
    "batch": N_("Batch"),
    "unit_code": N_("Unit"),
    "of": N_("Air or food"),
}

_SIDE_BY_SIDE = (("loads", "spits"), ("readings",), ("pulls",), ("trays",), ("out", "cooling"), ("units", "probes"))
_HALVED = ("readings", "trays")
"""Tables that are long and narrow: set in two halves, side by side."""
_NEXT_PAGE = "trays"


@dataclass(frozen=True, slots=True)
class Table:
    """A table as it is printed: rows are blank but for what is known before, e.g. the codes of units."""

    name: str
    title: str
    limit: str
    columns: Sequence[str]
    names: Sequence[str]
    rows: Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True)
class BlankForm:
    """The form for one kitchen under one version of its plan."""

    language: str
    paper: str
    title: str
    site: str
    place: str
    plan: str
    created: str
    missing: str
    bands: Sequence[tuple[bool, Sequence[Table]]]
    """Tables that stand side by side, and whether a page begins with them."""


def column_word(name: str) -> str:
    """Give the heading of a column."""
    return _(COLUMNS[name])


def section_word(name: str) -> str:
    """Give the title of a section."""
    return _(SECTIONS[name].title)


def missing_equipment(site: Site) -> str:
    """Say of which equipment the kitchen has none yet, so that rows about it cannot be typed; empty if of none."""
    there = {item.kind for item in site.equipment.values() if item.retired_at is None}
    lacking = [words.equipment_word(kind) for kind in ("oven", "hot_unit", "cold_unit", "probe") if kind not in there]
    if not lacking:
        return ""
    return _(
        "Not set up yet: %(what)s. The person in charge adds what is missing, in Set-up.", what=words.joined(lacking)
    )


def blank_form(site: Site, plan: Plan, *, at: datetime) -> BlankForm:
    """Make the form of a kitchen as it is set up now."""
    version = _("plan version %(number)s, %(title)s", number=plan.version, title=plan.title)
    return BlankForm(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("Paper form: %(site)s", site=site.name),
        site=f"{site.name} ({site.code})",
        place=place_words(site),
        plan=f"{version}, {words.local_date_time(at, site.timezone)}",
        created=at.strftime("%Y-%m-%dT%H:%M:%SZ"),
        missing=missing_equipment(site),
        bands=[(names[0] == _NEXT_PAGE, _tables(names, site, plan)) for names in _SIDE_BY_SIDE],
    )


def write_blank_form(site: Site, plan: Plan, *, at: datetime) -> bytes:
    """Make the form's PDF. Needs an app context, for the template and the language."""
    template = current_app.jinja_env.get_template("log/blank_form.html")
    view = blank_form(site, plan, at=at)
    return set_on_paper(template.render(view=view, page_number=PAGE_NUMBER, page_count=PAGE_COUNT), STYLE, OWN_STYLE)


def _tables(names: Sequence[str], site: Site, plan: Plan) -> list[Table]:
    tables = [_table(name, site, plan) for name in names]
    return [half for table in tables for half in (_halves(table) if table.name in _HALVED else [table])]


def _table(name: str, site: Site, plan: Plan) -> Table:
    section, known = SECTIONS[name], _known(name, site)
    blank = [[""] * len(section.columns)] * max(section.rows - len(known), 0)
    heads = [column_word(column) for column in section.columns]
    return Table(name, section_word(name), _limit(name, plan.limits), heads, section.columns, [*known, *blank])


def _halves(table: Table) -> list[Table]:
    middle = len(table.rows) // 2
    rest = Table(table.name, "", "", table.columns, table.names, table.rows[middle:])
    return [Table(table.name, table.title, table.limit, table.columns, table.names, table.rows[:middle]), rest]


def _known(name: str, site: Site) -> list[list[str]]:
    """Give the rows whose equipment is known before: two for each unit that is checked, one for each probe."""
    in_use = [item for item in site.equipment.values() if item.retired_at is None]
    if name == "units":
        units = [item.code for item in in_use if item.kind in ("cold_unit", "hot_unit")]
        return [["", code, "", ""] for code in units for _time in range(2)]
    if name == "probes":
        return [["", item.code, ""] for item in in_use if item.kind == "probe"]
    return []


def _limit(name: str, limits: Limits) -> str:
    """Give what counts for a table by the plan, in one line; empty where nothing does."""
    value = {setting: words.setting_value(limits, setting) for setting in _LIMITS.get(name, ())}
    said = {
        "readings": _("At least %(cook_core)s, in %(birds_checked_per_spit)s birds a spit: %(places_per_bird)s."),
        "trays": _("At least %(hot_holding)s, read every %(check_interval_min)s."),
        "cooling": _("%(cool_first)s within %(cool_first_min)s, %(cool_total)s within %(cool_total_min)s."),
        "units": _("Cold: at most %(cold_holding)s, %(cold_checks_per_day)s checks a day."),
        "probes": _("32 °F %(probe_tolerance_f)s, or 0 °C %(probe_tolerance_c)s."),
    }
    return said[name] % value if name in said else ""


_LIMITS: Mapping[str, tuple[str, ...]] = {
    "readings": ("cook_core", "birds_checked_per_spit", "places_per_bird"),
    "trays": ("hot_holding", "check_interval_min"),
    "cooling": ("cool_first", "cool_first_min", "cool_total", "cool_total_min"),
    "units": ("cold_holding", "cold_checks_per_day"),
    "probes": ("probe_tolerance_f", "probe_tolerance_c"),
}
