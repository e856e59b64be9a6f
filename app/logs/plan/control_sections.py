"""The sections on control: hazards, critical control points, limits, monitoring, corrective actions."""

from collections.abc import Iterator, Sequence

from app import words
from app.kinds.permissions import ROLES, Permission, may
from app.rules.day.judge import all_rules
from app.rules.day.registry import Rule
from app.rules.facts import Verdict
from app.rules.plans.limits import GROUPS
from app.rules.plans.plan import Plan, code_says
from app.words.marking import gettext as _

from ..limits import limit_row
from .blocks import Block, Row, Section, citations_whole
from .kitchen_sections import control, point_name, points
from .record import PlanRecord
from .steps import STEPS


def hazards(record: PlanRecord) -> Section:
    """The hazards of each step, why each is expected, and what answers it."""
    rows = [
        (_(step.title), _(hazard.nature), _(hazard.what), _(hazard.why), control(step, record))
        for step in STEPS
        for hazard in step.hazards
    ]
    heads = (_("Step"), _("Kind"), _("Hazard"), _("Why"), _("Controlled by"))
    line = _("The kitchen looks at this list again with its own food, rooms and people.")
    block = Block(lines=(line,), heads=heads, rows=rows, widths=(15, 10, 24, 30, 21))
    return Section(key="hazards", title=_("Hazards of each step"), blocks=(block,))


def critical_points(record: PlanRecord) -> Section:
    """The critical control points, each with the steps that it is at."""
    rows = [
        (point_name(group, record), ", ".join(_(step.title) for step in STEPS if group in step.groups), _rules(group))
        for group in points(record)
    ]
    heads = (_("Critical control point"), _("At the step"), _("What is looked at"))
    others = [words.group_word(group) for group in GROUPS if record.plan.has(group) and group not in points(record)]
    line = _("Other controls in force: %(groups)s.", groups=", ".join(others))
    out = [words.group_word(group) for group in GROUPS if not record.plan.has(group)]
    off = _("Not in force in this plan: %(groups)s.", groups=", ".join(out) or _("none"))
    block = Block(lines=(line, off), heads=heads, rows=rows, widths=(26, 34, 40))
    return Section(key="points", title=_("Critical control points"), blocks=(block,))


def _rules(group: str) -> str:
    return ", ".join(words.rule_word(rule.name) for rule in _of_group(group))


def _of_group(group: str | None) -> Iterator[Rule]:
    return (rule for rule in all_rules().values() if rule.group == group)


def critical_limits(record: PlanRecord) -> Section:
    """Every limit in force: as a sentence, its value, what it is and where it comes from."""
    critical = points(record)
    blocks, listed = [], set[str]()
    for group in (*critical, *(one for one in GROUPS if record.plan.has(one) and one not in critical)):
        names = list(dict.fromkeys(name for rule in _of_group(group) for name in rule.limits))
        names = names if group in critical else [name for name in names if name not in listed]
        listed |= set(names)
        if names or group == "foreign_body":
            title = point_name(group, record) if group in critical else words.group_word(group)
            blocks.append(_limit_table(words.sentence_start(title), names, record))
    return Section(key="limits", title=_("Critical limits and other limits, with their sources"), blocks=tuple(blocks))


def _limit_table(title: str, names: Sequence[str], record: PlanRecord) -> Block:
    rows = [_limit(name, record) for name in names] or [_counted()]
    heads = (_("Limit"), _("Value"), _("What it is"), _("Source"))
    return Block(title=title, heads=heads, rows=rows, widths=(36, 16, 12, 36))


def _limit(name: str, record: PlanRecord) -> Row:
    row, code = limit_row(record.plan, name), code_says(record.adopted, name)
    source = row.source
    if code is not None:
        values = {"value": words.value_words(name, code[0]), "source": code[1].source}
        source = "; ".join(part for part in (row.source, _("the code says %(value)s: %(source)s", **values)) if part)
    return words.limit_sentence(record.plan, name), row.value, row.binds, citations_whole(source)


def _counted() -> Row:
    """Give the limit that is a count against a count, so that no setting holds it."""
    said = _("As many ties and skewers come off a spit as went on.")
    return said, _("none missing"), words.provenance_word("house"), _("ties and skewers counted: house")


# ---- monitoring -----------------------------------------------------------------------------------------------------


def monitoring(record: PlanRecord) -> Section:
    """What is looked at, how, how often and by whom."""
    who = words.sentence_start(words.joined_or(_recorders()))
    rows = [
        (words.sentence_start(words.group_word(group)), *_watched(group, record.plan), who)
        for group in GROUPS
        if record.plan.has(group) and group in _WATCHED
    ]
    heads = (_("Control"), _("What is monitored"), _("How"), _("How often"), _("By whom"))
    line = _("Each reading is written when it is made, with its time and its writer. A reading is never changed.")
    block = Block(lines=(line,), heads=heads, rows=rows, widths=(14, 26, 26, 20, 14))
    return Section(key="monitoring", title=_("Monitoring"), blocks=(block,))


def _recorders() -> list[str]:
    return [words.role_word(role) for role in ROLES if may(role, Permission.RECORD_KITCHEN_ENTRY)]


_WATCHED = frozenset(
    (
        *("cooking", "holding", "time_control", "cooling", "reheating", "cold_storage", "receiving", "probes"),
        *("balance", "foreign_body", "checklists", "set_aside"),
    )
)


def _watched(group: str, plan: Plan) -> tuple[str, str, str]:
    """Give what, how and how often; the numbers are the plan's own."""
    limits = plan.limits
    match group:
        case "cooking":
            what = _("core temperature of %(count)s birds of each spit, or of all", count=limits.birds_checked_per_spit)
            places = words.joined([words.place_word(place) for place in limits.places_per_bird])
            return what, _("checked probe, in the %(places)s", places=places), _("at each spit, before each pull")
        case "holding":
            often = _("every %(length)s", length=words.minutes(limits.check_interval_min))
            return _("temperature of each tray"), _("checked probe, in the food"), often
        case "time_control":
            what = _("temperature at the start, time on the label, time when the tray is empty")
            return what, _("checked probe; label; clock"), _("at each tray that is held so")
        case "cooling":
            marks = (words.minutes(limits.cool_first_min), words.minutes(limits.cool_total_min))
            often = _("by %(first)s and by %(total)s", first=marks[0], total=marks[1])
            return _("core temperature of each chilled batch"), _("checked probe, in the thickest piece"), often
        case "reheating":
            return (
                _("core temperature and time of each reheat"),
                _("checked probe; clock"),
                _("before a tray is filled"),
            )
        case "cold_storage":
            often = _("%(count)s times a day for each unit", count=limits.cold_checks_per_day)
            return _("air or food of each cold unit; date of each batch"), _("thermometer or checked probe"), often
    return _watched_besides(group)


def _watched_besides(group: str) -> tuple[str, str, str]:
    match group:
        case "receiving":
            what = _("temperature, state, lot, supplier and date of a delivery")
            return what, _("checked probe, between the packs"), _("at each delivery")
        case "probes":
            what = _("what each probe shows in ice, in boiling water, or beside another")
            return what, _("ice point, boiling point or comparison"), _("each business day of use, at most 24 h apart")
        case "balance":
            return _("birds in and out of each spit, tray and batch"), _("counting"), _("at each move")
        case "foreign_body":
            return _("ties and skewers on and off each spit"), _("counting"), _("at each spit")
        case "set_aside":
            return (
                _("where food under a finding is, and where it goes"),
                _("by its tray or batch"),
                _("until it is decided"),
            )
    return _("opening and closing checks, start of an oven"), _("looking"), _("each business day; each load")


# ---- what is done about it ------------------------------------------------------------------------------------------


def actions(record: PlanRecord) -> Section:
    """What is done when a limit is not met, or when the records do not show that it was."""
    return Section(
        key="actions",
        title=_("Corrective actions"),
        blocks=(Block(lines=_asked()), _dispositions(record.plan), _bands(record.plan)),
    )


def _asked() -> tuple[str, ...]:
    """What every corrective action says: 9 CFR 417.3(a)(1)-(4) in the words of a kitchen."""
    return (
        _("Whoever finds that a limit is not met writes the cause, and what was done to bring the step under control."),
        _("They record what is done with the food: only what the table allows. Until then the food is set aside."),
        _("They write what stops it from happening again. Somebody in charge accepts this, or sends it back."),
        _("A deviation that this plan does not foresee: keep the food aside, decide on it, reassess the plan."),
    )


def _dispositions(plan: Plan) -> Block:
    rows = [
        (words.sentence_start(words.rule_word(rule.name)), *_what_may_become(rule, plan))
        for group in (*GROUPS, None)
        if group is None or plan.has(group)
        for rule in _of_group(group)
        if rule.name not in _BY_BAND
    ]
    heads = (_("Control"), _("Limit not met"), _("Not recorded"))
    return Block(title=_("What may be done with the food"), heads=heads, rows=rows, widths=(30, 35, 35))


_BY_BAND = ("hold.temperature", "hold.disposition")
"""Here the food goes by how long it was out of temperature."""


def _what_may_become(rule: Rule, plan: Plan) -> tuple[str, str]:
    of_plan = plan.dispositions.get(rule.name, rule.dispositions)
    not_met, not_shown = (of_plan.get(verdict, ()) for verdict in (Verdict.NOT_MET, Verdict.NOT_SHOWN))
    return _named(not_met), _named(not_shown)


def _named(dispositions: Sequence[str]) -> str:
    return ", ".join(map(words.disposition_word, dispositions)) or "–"


def _bands(plan: Plan) -> Block:
    if not plan.has("holding"):
        return Block()
    limits = plan.limits
    first, last = words.minutes(limits.band_reheat_min), words.minutes(limits.band_discard_min)
    spans = {"under_2h": _("under %(first)s", first=first), "from_2h": _("from %(first)s", first=first)}
    spans["from_4h"] = _("from %(last)s", last=last)
    rows = [
        (spans[name], _named(band.dispositions), ", ".join(map(words.to_word, band.ways_out)))
        for name, band in plan.bands.items()
    ]
    heads = (_("Out of temperature"), _("What may be done with the food"), _("Where birds may go"))
    return Block(title=_("Hot holding: by the time out of temperature"), heads=heads, rows=rows, widths=(20, 40, 40))
