"""What the plan's pages show: each limit as a sentence in its group, with its source, and what the kitchen set."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from flask_babel import lazy_gettext as _l

from app import register, words
from app.register import Draft
from app.rules.facts import Person
from app.rules.plans import comparing
from app.rules.plans import limits as plan_limits
from app.rules.plans import plan as rules_plan
from app.rules.plans.adopted_values import TEXTS

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
    """One limit as a sentence: where it comes from, and what the code says where the kitchen set another."""

    name: str
    sentence: str
    source: str
    kind: str
    code_says: str | None
    is_looser: bool
    """Whether a variance allows it to be looser than the code."""


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
    texts: Sequence[tuple[str, str, bool]]
    """Part, its title, and whether the kitchen wrote it."""
    new_rules: str
    """Groups of rules that this edition has and the plan not yet, in words; empty where there are none."""
    lists_own_groups: bool
    """Whether the kitchen said itself which groups are in force: then a new one is not added by itself."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change of the next version: what it will say, what it says now, and how that stands beside the code."""

    name: str
    title: str
    then: str
    now: str
    compared: str
    code_says: str
    is_law: bool
    """Whether the code's own value is more than a house rule, so that looser wants a variance."""
    wants_variance: bool


def group_title(group: str) -> str:
    """Give the heading of a group of settings."""
    return words.sentence_start(str(_DAY) if group == "day" else words.group_word(group))


def build_plan_page(adopted: rules_plan.Adopted, people: Mapping[str, Person], on: date) -> PlanPage:
    """Give the page of a plan version on a date."""
    plan, written = rules_plan.resolve(adopted, on), dict(adopted.texts)
    return PlanPage(
        version=adopted.version,
        title=plan.title,
        kind=words.provenance_word(plan.kind),
        adopted_by=name_of(adopted.adopted_by, people),
        adopted_at=adopted.adopted_at,
        authority=adopted.authority,
        variance=adopted.variance,
        groups=[
            Group(group_title(group), _in_force(group, plan), [_line(name, adopted, plan) for name in names])
            for group, names in GROUPS.items()
        ],
        texts=[(part, words.plan_text_title(part), part in written) for part in TEXTS],
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
            adopted_by=name_of(adopted.adopted_by, people),
            adopted_at=adopted.adopted_at,
            until=until,
            changes=len(adopted.settings),
        )
        for adopted, until in zip(newest_first, untils, strict=False)
    ]


def build_changes(draft: Draft, newest: rules_plan.Adopted, coming: rules_plan.Adopted, on: date) -> Sequence[Change]:
    """Give the settings that the next version has otherwise, each as a sentence."""
    now, then = rules_plan.resolve(newest, on), rules_plan.resolve(coming, on)
    return [build_change(name, now, then, draft.settings[name], on) for name in draft.settings]


def build_change(name: str, now: rules_plan.Plan, then: rules_plan.Plan, text: str, on: date) -> Change:
    """Give one setting as it is typed beside what holds now and what the code says."""
    beside = comparing.compare(then.code, name, text, on=on)
    return Change(
        name=name,
        title=words.setting_word(name),
        then=words.limit_sentence(then, name),
        now=words.limit_sentence(now, name),
        compared=words.compared_word(beside.compared),
        code_says=_code_says(name, beside.code_value, beside.source),
        is_law=beside.source.kind != "house",
        wants_variance=beside.wants_variance,
    )


def _code_says(name: str, value: object, source: rules_plan.Provenance) -> str:
    said = words.value_words("cook_core" if name == "cook_table" else name, value)
    return f"{said} ({words.provenance_word(source.kind)}, {source.source})"


def own_plan(code: str, at: datetime, on: date) -> rules_plan.Plan:
    """Give a code of law as it stands, with nothing set by a site. Raises PlanRefused where there is none."""
    return rules_plan.resolve(rules_plan.Adopted(0, code, (), "", at), on)


def own_text(code: str, name: str, on: date) -> str:
    """Give what the code itself says of a setting, as it is typed."""
    return register.setting_text(getattr(rules_plan.limits_on(code, {}, on)[0], name))


def _line(name: str, adopted: rules_plan.Adopted, plan: rules_plan.Plan) -> Line:
    code, origin = rules_plan.code_says(adopted, name), plan.sources[name]
    return Line(
        name=name,
        sentence=words.limit_sentence(plan, name),
        source="" if origin.house_set else origin.source,
        kind=words.provenance_word(origin.kind),
        code_says=None if code is None else _code_says(name, *code),
        is_looser=name in plan.loosened,
    )


def _in_force(group: str, plan: rules_plan.Plan) -> bool:
    return group not in plan_limits.GROUPS or plan.has(group)


def name_of(login: str, people: Mapping[str, Person]) -> str:
    """Give somebody's name; of who is not known here the sign-in name."""
    return people[login].name if login in people else login
