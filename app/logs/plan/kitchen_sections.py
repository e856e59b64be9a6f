"""The sections on the kitchen: what it is, what it makes, how the work goes, and what it wrote itself."""

from app import words
from app.kinds.permissions import Permission, may
from app.words.marking import gettext as _

from ..limits import authority_words
from .blocks import Block, Row, Section
from .record import PlanRecord
from .steps import STEPS, Step, is_critical

_MEGABYTE = 1024 * 1024


def kitchen(record: PlanRecord) -> Section:
    """Which kitchen, which plan, who adopted it, and what that means."""
    site, plan = record.site, record.plan
    facts = (
        (_("Kitchen"), f"{site.name} ({site.code})"),
        (_("Address"), site.address or _("not given yet")),
        (_("Permit"), site.permit or _("not given yet")),
        (_("Version of the plan"), str(plan.version)),
        (_("Adopted for this kitchen by"), f"{record.person(plan.adopted_by)}, {record.moment(plan.adopted_at)}"),
        (_("Code"), f"{plan.title} ({plan.code})"),
        (_("What the code is"), authority_words(plan)),
    )
    return Section(key="kitchen", title=_("The kitchen and its plan"), blocks=(Block(facts=facts),))


def team(record: PlanRecord) -> Section:
    """Who answers for the plan."""
    people = [
        (person.name, _certificate(person.certificate))
        for person in record.site.people.values()
        if may(person.role, Permission.ADOPT_PLAN) and person.retired_at is None
    ]
    block = Block(heads=(_("Person in charge"), _("Certificate")), rows=people, widths=(50, 50))
    return _with_text(record, "team", title=_("Who answers for the plan"), blocks=(block,))


def _certificate(number: str | None) -> str:
    return number or _("no number given")


def product(record: PlanRecord) -> Section:
    """What the plan is for."""
    groups = words.setting_value(record.plan.limits, "controls")
    line = _("Whole chickens and other poultry, roasted on spits, then served hot, held, or chilled and reheated.")
    block = Block(lines=(line,), facts=((_("Controls in force"), groups),))
    return _with_text(record, "product", title=_("The food, and for whom"), blocks=(block,))


def flow(record: PlanRecord) -> Section:
    """The steps from receiving to serving, and where they are controlled."""
    rows = [(str(n), _(step.title), _(step.what), control(step, record)) for n, step in enumerate(STEPS, 1)]
    heads = (_("No."), _("Step"), _("What is done"), _("Controlled by"))
    steps = Block(heads=heads, rows=rows, widths=(5, 20, 45, 30))
    return _with_text(record, "flow", title=_("The steps of the work"), blocks=(steps, _equipment(record)))


def control(step: Step, record: PlanRecord) -> str:
    """Say what controls a step: the critical control points that it holds, other controls, or good practice."""
    said = [
        point_name(group, record) if is_critical(group) else words.sentence_start(words.group_word(group))
        for group in step.in_force(record.plan)
    ]
    out = [words.group_word(group) for group in step.groups if not record.plan.has(group)]
    if out:
        said.append(_("not in force in this plan: %(groups)s", groups=", ".join(out)))
    return "; ".join(said) or _("good practice")


def points(record: PlanRecord) -> tuple[str, ...]:
    """Give the groups of rules that are critical control points of a plan, in the order of the work."""
    groups = dict.fromkeys(group for step in STEPS for group in step.in_force(record.plan))
    return tuple(group for group in groups if is_critical(group))


def point_name(group: str, record: PlanRecord) -> str:
    """Give a critical control point its number and name: `CCP 3, cooking`."""
    number = points(record).index(group) + 1
    return _("CCP %(number)s, %(name)s", number=number, name=words.group_word(group))


def _equipment(record: PlanRecord) -> Block:
    used = [item for item in record.site.equipment.values() if item.retired_at is None]
    found: dict[str, list[str]] = {}
    for item in used:
        found.setdefault(item.kind, []).append(item.code)
    facts = [(words.sentence_start(words.equipment_word(kind)), ", ".join(codes)) for kind, codes in found.items()]
    return Block(title=_("Equipment"), facts=facts)


def recipes(record: PlanRecord) -> Section:
    """Ingredients and recipes: the kitchen's own."""
    return _with_text(record, "recipes", title=_("Ingredients and recipes"))


def premises(record: PlanRecord) -> Section:
    """The rooms: the kitchen's own."""
    return _with_text(record, "premises", title=_("The premises"))


def training(record: PlanRecord) -> Section:
    """How people are trained: the kitchen's own."""
    return _with_text(record, "training", title=_("Training"))


def time_control(record: PlanRecord) -> Section:
    """The written procedure for time as the control, where the plan has that in force."""
    plan, title = record.plan, _("Time as the control: the written procedure")
    if not plan.has("time_control"):
        return Section(key="time_control", title=title, blocks=(Block(lines=(_("Not in force in this plan."),)),))
    named = ("time_control_procedure", "time_control_min", "time_control_ways", "hot_holding")
    block = Block(lines=[words.limit_sentence(plan, name) for name in named])
    return _with_text(record, "time_control", title=title, blocks=(block,))


def validation(record: PlanRecord) -> Section:
    """What shows that the limits work: their sources, and what the kitchen adds."""
    line = _("Each limit stands with its source in this plan. What shows that this kitchen meets them follows.")
    return _with_text(record, "validation", title=_("Validation"), blocks=(Block(lines=(line,)),))


def _with_text(record: PlanRecord, part: str, *, title: str, blocks: tuple[Block, ...] = ()) -> Section:
    """Add what the kitchen wrote itself, and its files."""
    written = record.text(part)
    missing = "" if written else _("The kitchen has not written this yet: %(what)s", what=words.plan_text_asks(part))
    own = (Block(title=words.plan_text_title(part) if blocks else "", lines=written.splitlines()),) if written else ()
    return Section(key=part, title=title, blocks=(*blocks, *own, *_files(record, part)), missing=missing)


def _files(record: PlanRecord, part: str) -> tuple[Block, ...]:
    rows: list[Row] = [
        (one.name, _size(one.size), one.media_type.partition("/")[2].upper(), one.digest) for one in record.files(part)
    ]
    heads = (_("Attachment"), _("Size"), _("Kind"), _("Fingerprint (SHA-256)"))
    return (Block(heads=heads, rows=rows, widths=(34, 9, 8, 49)),) if rows else ()


def _size(size: int) -> str:
    return (
        _("%(size)s MB", size=f"{size / _MEGABYTE:.1f}")
        if size >= _MEGABYTE
        else _("%(size)s KB", size=size // 1024 + 1)
    )
