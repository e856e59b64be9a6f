"""What the plan's pages show: limits in their groups, each with its source, what it is, and what the site tightened."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from flask_babel import LazyString
from flask_babel import lazy_gettext as _l
from wtforms import Field, Form

from app import register, words
from app.rules.facts import Person
from app.rules.plans import limits as plan_limits
from app.rules.plans import plan as rules_plan

_DAY = _l("the day and its checks")

GROUPS: Mapping[str, tuple[str, ...]] = {
    "cooking": (
        *("cook_core", "cook_dwell_s", "birds_checked_per_spit", "places_per_bird", "interruption_min"),
        *("cook_target", "cook_table", "cook_humidity"),
    ),
    "holding": ("hot_holding", "check_interval_min", "grace_min", "band_reheat_min", "band_discard_min"),
    "time_control": ("time_control_min", "time_control_ways", "time_control_procedure"),
    "cooling": ("cool_first", "cool_first_min", "cool_total", "cool_total_min"),
    "reheating": ("reheat_core", "reheat_dwell_s", "reheat_min"),
    "cold_storage": ("cold_holding", "cold_checks_per_day", "date_mark_days"),
    "receiving": ("receive_cold",),
    "probes": ("probe_tolerance_c", "probe_tolerance_f"),
    "lateness": ("late_min",),
    "checklists": ("opening_checks", "closing_checks"),
    "day": ("day_starts", "start_checks", "controls"),
}
"""The settings by the group of controls that they belong to; every setting stands in one."""


@dataclass(frozen=True, slots=True)
class Line:
    """One limit in force: its value, where it comes from, and the code's own value where the site set another."""

    title: str
    value: str
    source: str
    kind: str
    code_value: str | None


@dataclass(frozen=True, slots=True)
class AdoptionLine:
    """A setting to fill in, beside the code's own value as it is typed; `form` says how to type it."""

    field: Field
    form: str
    is_long: bool
    code_text: str
    source: str
    kind: str


@dataclass(frozen=True, slots=True)
class AdoptionGroup:
    """The settings of one group of controls to fill in."""

    title: str
    lines: Sequence[AdoptionLine]


@dataclass(frozen=True, slots=True)
class Group:
    """The limits of one group of controls."""

    title: str
    is_in_force: bool
    lines: Sequence[Line]


@dataclass(frozen=True, slots=True)
class Version:
    """One version as the history shows it; `until` is when the next one took over."""

    number: int
    title: str
    adopted_by: str
    adopted_at: datetime
    until: datetime | None
    changes: int


@dataclass(frozen=True, slots=True)
class PlanPage:
    """A plan version with its limits."""

    version: int
    title: str
    kind: str
    adopted_by: str
    adopted_at: datetime
    authority: str | None
    variance: str | None
    groups: Sequence[Group]
    new_rules: str
    """Groups of rules that this edition has and the plan not yet, in words; empty where there are none."""
    lists_own_groups: bool
    """Whether the kitchen said itself which groups are in force: then a new one is not added by itself."""


def group_title(group: str) -> str:
    """Give the heading of a group of settings."""
    return words.sentence_start(str(_DAY) if group == "day" else words.group_word(group))


def build_plan_page(adopted: rules_plan.Adopted, people: Mapping[str, Person], on: date) -> PlanPage:
    """Give the page of a plan version on a date."""
    plan, code = rules_plan.resolve(adopted, on), own_plan(adopted.code, adopted.adopted_at, on)
    return PlanPage(
        version=adopted.version,
        title=plan.title,
        kind=words.provenance_word(plan.kind),
        adopted_by=_name(adopted, people),
        adopted_at=adopted.adopted_at,
        authority=adopted.authority,
        variance=adopted.variance,
        groups=[
            Group(group_title(group), _in_force(group, plan), [_line(name, plan, code) for name in names])
            for group, names in GROUPS.items()
        ],
        new_rules=new_rules(adopted, on),
        lists_own_groups=lists_own_groups(adopted),
    )


def new_rules(adopted: rules_plan.Adopted, on: date) -> str:
    """Give the groups of rules that came since a version was adopted, in words; empty where there are none."""
    return ", ".join(words.group_word(group) for group in rules_plan.new_groups(adopted, on))


def lists_own_groups(adopted: rules_plan.Adopted) -> bool:
    """Whether the site set which groups of rules are in force."""
    return any(name == "controls" for name, _text in adopted.settings)


def build_history(plans: Sequence[rules_plan.Adopted], people: Mapping[str, Person]) -> Sequence[Version]:
    """Give all versions, the newest first."""
    newest_first = list(reversed(plans))
    untils = [None, *(adopted.adopted_at for adopted in newest_first)]
    return [
        Version(
            number=adopted.version,
            title=str(rules_plan.read_code(adopted.code)["title"]),
            adopted_by=_name(adopted, people),
            adopted_at=adopted.adopted_at,
            until=until,
            changes=len(adopted.settings),
        )
        for adopted, until in zip(newest_first, untils, strict=False)
    ]


def build_adoption(form: Form, plan: rules_plan.Plan) -> Sequence[AdoptionGroup]:
    """Give the settings to fill in, each beside what the code itself says."""
    return [
        AdoptionGroup(group_title(group), [_adoption_line(form, plan, name) for name in names])
        for group, names in GROUPS.items()
    ]


def own_plan(code: str, at: datetime, on: date) -> rules_plan.Plan:
    """Give a code of law as it stands, with nothing set by a site. Raises PlanRefused where there is none."""
    return rules_plan.resolve(rules_plan.Adopted(0, code, (), "", at), on)


def _line(name: str, plan: rules_plan.Plan, code: rules_plan.Plan) -> Line:
    own = code.sources[name]
    origin = own if plan.sources[name].house_set else plan.sources[name]
    return Line(
        title=words.setting_word(name),
        value=words.setting_value(plan.limits, name),
        source=origin.source,
        kind=words.provenance_word(origin.kind),
        code_value=None if plan.sources[name] == own else words.setting_value(code.limits, name),
    )


def _adoption_line(form: Form, code: rules_plan.Plan, name: str) -> AdoptionLine:
    return AdoptionLine(
        field=form[name],
        form=_how_to_type(name, getattr(code.limits, name)),
        is_long=isinstance(getattr(code.limits, name), str | tuple | frozenset),
        code_text=register.setting_text(getattr(code.limits, name)),
        source=code.sources[name].source,
        kind=words.provenance_word(code.sources[name].kind),
    )


def _in_force(group: str, plan: rules_plan.Plan) -> bool:
    return group not in plan_limits.GROUPS or plan.has(group)


def _name(adopted: rules_plan.Adopted, people: Mapping[str, Person]) -> str:
    person = people.get(adopted.adopted_by)
    return person.name if person else adopted.adopted_by


def _how_to_type(name: str, value: object) -> str:
    return str(_form_of(name, value))


def _form_of(name: str, value: object) -> LazyString:
    if name == "cook_table":
        return _l("What is cooked, the row and the fat, e.g. %(pair)s; only with a variance", pair="chicken 150F 12%")
    if name == "cook_humidity":
        return _l(
            "One of humid_part (90 percent or more for a part of the cook), direct_heat (over the flame), moist_cooking"
            " (cooked moist), large_product (10 lb or more, oven at 250 °F or more); only with a table"
        )
    if name == "cook_target" or isinstance(value, plan_limits.TemperatureLimit):
        return _l("Both units, e.g. 165F/74C")
    if name.endswith("_min"):
        return _l("Minutes")
    if name.endswith("_s"):
        return _l("Seconds")
    if isinstance(value, Decimal):
        return _l("Degrees")
    if isinstance(value, time):
        return _l("Hours and minutes, e.g. 04:00")
    if isinstance(value, tuple | frozenset):
        return _l("Names with commas between")
    return _l("A whole number") if isinstance(value, int) else _l("One line of text")
