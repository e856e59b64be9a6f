"""The plan as the log prints it: every limit in force, where it comes from, and what binds whom."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

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


@dataclass(frozen=True, slots=True)
class LimitGroup:
    """Limits that bind in the same way, with sources as short as can be."""

    binds: str
    rows: tuple[LimitRow, ...]


_HOUSE = ": house"
"""How the source of a house rule ends that rests on nothing else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanView:
    """A version of the plan that was in force on the day, or for a part of it."""

    heading: str
    """What it is, with the part of the day where there was another one too."""
    title: str
    code: str
    """The name of the code of law that it goes by."""
    authority: str
    """What the code is, and who made it binding here: a blank to fill in where the site does not say."""
    variance: str
    groups: str
    groups_out: str
    limits: tuple[LimitRow, ...]
    """Every limit; of a version that followed another on the day those that changed with it."""

    @property
    def adopted(self) -> tuple[tuple[str, str], ...]:
        """Which version it is, and under which variance."""
        return ((self.heading, self.title), (_("Variance"), self.variance))

    @property
    def about(self) -> tuple[tuple[str, str], ...]:
        """What else is told of it."""
        controls = ((_("Controls in force"), self.groups), (_("Controls not in force"), self.groups_out))
        return ((_("What the plan is"), self.authority), *controls)

    @property
    def by_what_binds(self) -> tuple[LimitGroup, ...]:
        """The limits in groups for the paper: of the plan's own code the section alone, no source that says nothing."""
        found: dict[str, list[LimitRow]] = {}
        for row in self.limits:
            source = "" if row.source.endswith(_HOUSE) else row.source.removeprefix(f"{self.code}, ")
            found.setdefault(row.binds, []).append(replace(row, source=source))
        return tuple(LimitGroup(words.sentence_start(binds), tuple(rows)) for binds, rows in found.items())


def plan_views(plans: Sequence[Plan], book: Logbook) -> tuple[PlanView, ...]:
    """Write each version of the plan that was in force on the day."""
    rows = [[limit_row(plan, name) for name in SETTINGS if name != "controls"] for plan in plans]
    changed = [rows[0], *([row for row in new if row not in old] for old, new in pairwise(rows))]
    return tuple(
        _plan_view(plan, tuple(limits), book, heading=_heading(plans, place, book))
        for place, (plan, limits) in enumerate(zip(plans, changed, strict=True))
    )


def _plan_view(plan: Plan, limits: tuple[LimitRow, ...], book: Logbook, *, heading: str) -> PlanView:
    out = [words.group_word(group) for group in GROUPS if not plan.has(group)]
    values = {"title": plan.title, "code": plan.code, "version": plan.version, "name": book.person(plan.adopted_by)}
    values |= {"at": words.local_date_time(plan.adopted_at, book.assessment.site.timezone)}
    return PlanView(
        heading=heading,
        title=_("%(title)s (%(code)s), version %(version)s, adopted for this kitchen by %(name)s, %(at)s", **values),
        code=plan.title,
        authority=authority_words(plan),
        variance=variance_words(plan),
        groups=words.setting_value(plan.limits, "controls"),
        groups_out=", ".join(out) or _("none"),
        limits=limits,
    )


def _heading(plans: Sequence[Plan], place: int, book: Logbook) -> str:
    """Say for which part of the day a version was in force, where it was not all of it."""
    since = book.time(plans[place].adopted_at) if place else ""
    until = book.time(plans[place + 1].adopted_at) if place + 1 < len(plans) else ""
    if since and until:
        return _("HACCP plan from %(since)s to %(until)s", since=since, until=until)
    if since:
        return _("HACCP plan from %(since)s", since=since)
    return _("HACCP plan until %(until)s", until=until) if until else _("HACCP plan")


def variance_words(plan: Plan) -> str:
    """Name the variance, and what it allows to be looser than the code."""
    if plan.variance is None:
        return _("none")
    names = "; ".join(words.setting_word(name) for name in plan.loosened)
    return _("%(variance)s, for: %(limits)s", variance=plan.variance, limits=names) if names else plan.variance


def authority_words(plan: Plan) -> str:
    """Say what a plan's code is, and who made it binding here: a blank to fill in where the site does not say."""
    kind = words.provenance_word(plan.kind)
    if plan.kind != "model_code":
        return kind
    return _("%(kind)s; adopted here by %(authority)s", kind=kind, authority=plan.authority or "____________")


def limit_row(plan: Plan, name: str) -> LimitRow:
    """Give one limit of a plan in words."""
    origin = plan.sources[name]
    binds = words.provenance_word(origin.kind)
    own = _("set by the site under the variance") if name in plan.loosened else _("house rule, set by the site")
    return LimitRow(
        name=words.setting_word(name),
        value=words.setting_value(plan.limits, name),
        binds=own if origin.house_set else binds,
        source="" if origin.house_set else words.unbroken(origin.source),
    )
