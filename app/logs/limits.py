"""The plan as the log prints it: every limit in force, where it comes from, and what binds whom."""

from dataclasses import dataclass

from app import words
from app.rules.plans.limits import GROUPS
from app.rules.plans.plan import Plan
from app.rules.plans.settings import SETTINGS
from app.words.marking import gettext as _

from .lines import Logbook


@dataclass(frozen=True, slots=True)
class LimitRow:
    """A limit: its value as the source prints it, what it is (law, model code, guidance, house rule) and its source."""

    name: str
    value: str
    binds: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """The plan in force on the day."""

    title: str
    adopted: str
    authority: str
    """What the code is, and who made it binding here: a blank to fill in where the site does not say."""
    variance: str
    groups: str
    groups_out: str
    limits: tuple[LimitRow, ...]


def plan_view(plan: Plan, book: Logbook) -> PlanView:
    """Write the plan of the day."""
    out = [words.group_word(group) for group in GROUPS if not plan.has(group)]
    return PlanView(
        title=_("%(title)s (%(code)s), version %(version)s", title=plan.title, code=plan.code, version=plan.version),
        adopted=_(
            "adopted for this kitchen by %(name)s, %(at)s",
            name=book.person(plan.adopted_by),
            at=words.local_date_time(plan.adopted_at, book.assessment.site.timezone),
        ),
        authority=_authority(plan),
        variance=plan.variance or "",
        groups=words.setting_value(plan.limits, "controls"),
        groups_out=", ".join(out),
        limits=tuple(limit_row(plan, name) for name in SETTINGS if name != "controls"),
    )


def _authority(plan: Plan) -> str:
    kind = words.provenance_word(plan.kind)
    if plan.kind != "model_code":
        return kind
    return _("%(kind)s; adopted here by %(authority)s", kind=kind, authority=plan.authority or "____________")


def limit_row(plan: Plan, name: str) -> LimitRow:
    """Give one limit of a plan in words."""
    origin = plan.sources[name]
    binds = words.provenance_word(origin.kind)
    return LimitRow(
        name=words.setting_word(name),
        value=words.setting_value(plan.limits, name),
        binds=_("house rule, set by the site") if origin.house_set else binds,
        source="" if origin.house_set else origin.source,
    )
