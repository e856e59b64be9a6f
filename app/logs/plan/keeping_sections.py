"""The sections on keeping the plan true: verification, records, variances, what it does not cover, its history."""

from app import words
from app.rules.plans.plan import Adopted, resolve
from app.rules.plans.reassessment import Occasion, Reassessment
from app.rules.plans.settings import SETTINGS
from app.words.marking import gettext as _

from ..limits import limit_row, variance_words
from .blocks import Block, Row, Section
from .record import PlanRecord


def verification(record: PlanRecord) -> Section:
    """How somebody other than the maker of the records sees that the plan works."""
    rows = [
        (
            _("Corrective actions"),
            _("accepted or sent back"),
            _("at each one"),
            _("person in charge, if possible another"),
        ),
        (
            _("Records of the day"),
            _("read and signed"),
            _("each business day"),
            _("person in charge, with the password"),
        ),
        (_("Probes"), _("ice point, boiling point, comparison"), _("each business day of use"), _("whoever uses them")),
        (
            _("Unlikely or late entries"),
            _("shown beside the day, with their writers"),
            _("each day"),
            _("person in charge"),
        ),
        (
            _("Whole chain of records"),
            _("walked from its first entry"),
            _("when asked"),
            _("person in charge, inspector"),
        ),
        (_("This plan"), _("reassessed as a whole"), _("once a year and after a change"), _("person in charge")),
    ]
    heads = (_("What"), _("How"), _("How often"), _("By whom"))
    table = Block(heads=heads, rows=rows, widths=(25, 29, 22, 24))
    return Section(key="verification", title=_("Verification"), blocks=(table, reassessments(record)))


def reassessments(record: PlanRecord) -> Block:
    """Every look at the plan, and by when the next is due."""
    now = record.reassessment
    rows: list[Row] = [
        (
            record.moment(look.observed_at),
            record.person(look.person),
            str(look.version),
            look.looked_at,
            f"{words.outcome_word(look.outcome)}: {look.basis}" + (f" ({look.finding})" if look.finding else ""),
        )
        for look in record.looks
    ]
    heads = (_("When"), _("Who"), _("Version"), _("What was looked at"), _("What came of it, and why"))
    due = _("To be reassessed by %(day)s.", day=words.day_words(now.due_at.astimezone(record.site.timezone).date()))
    lines = [due] if rows else [_("Not reassessed yet since it was adopted first."), due]
    if record.plan.version > 1 and Occasion.VERSION in now.occasions:
        lines.append(occasion_words(Occasion.VERSION))
    return Block(title=_("Reassessment"), lines=lines, heads=heads, rows=rows, widths=(19, 14, 9, 27, 31))


def occasion_words(occasion: Occasion) -> str:
    """Say why the plan is to be looked at again."""
    return {
        Occasion.YEAR: _("A year has passed since the plan was looked at as a whole."),
        Occasion.VERSION: _("A new version was adopted since. Look at what the change does to the hazards."),
        Occasion.EQUIPMENT: _("An oven, a hot-holding unit or a cold unit came or went since."),
        Occasion.TO_CHANGE: _(
            "The last reassessment said that the plan is to be changed. No new version was adopted since."
        ),
    }[occasion]


def occasions_words(now: Reassessment) -> tuple[str, ...]:
    """Say why the plan is to be looked at again, each occasion a sentence; none while it is not due."""
    return tuple(occasion_words(occasion) for occasion in now.occasions)


def records(record: PlanRecord) -> Section:
    """Which records there are, what they hold, and how long they stay."""
    facts = (
        (_("Monitoring"), _("deliveries, loads, core temperatures, trays, batches, reheats, units: actual values")),
        (_("Each entry holds"), _("who, when it was seen, when it was written, the value as read, the probe")),
        (
            _("Corrective actions"),
            _("cause, what was done, where the food went, how it is prevented, who accepted it"),
        ),
        (_("Verification"), _("signatures of days, probe checks, reassessments of this plan")),
        (_("Changes"), _("a mistake is corrected by a new entry with a reason; both stay readable")),
        (_("Where"), _("in the ledger of this kitchen, chained entry by entry; printed as the daily log")),
    )
    lines = (
        _("This program deletes no entry. For how long records must be kept, the authority says."),
        _("For comparison: 9 CFR 417.5(e) asks inspected plants for one year for refrigerated food."),
    )
    written = record.text("records")
    own = Block(title=words.plan_text_title("records"), lines=written.splitlines()) if written else Block()
    missing = (
        "" if written else _("The kitchen has not written this yet: %(what)s", what=words.plan_text_asks("records"))
    )
    return Section(
        key="records", title=_("Records"), blocks=(Block(facts=facts), Block(lines=lines), own), missing=missing
    )


def variances(record: PlanRecord) -> Section:
    """What is looser than the code, and by which variance."""
    plan = record.plan
    rows: list[Row] = [
        (limit_row(plan, name).name, limit_row(plan, name).value, str(plan.variance)) for name in plan.loosened
    ]
    heads = (_("Limit"), _("Value here"), _("Variance"))
    none = _("No variance: nothing here is looser than the code.")
    line = _("Variance: %(variance)s.", variance=variance_words(plan)) if plan.variance else none
    block = Block(lines=(line,), heads=heads, rows=rows, widths=(40, 25, 35))
    return Section(key="variances", title=_("Variances"), blocks=(block,))


def not_covered(record: PlanRecord) -> Section:
    """What nobody should look for here."""
    lines = (
        _("Stuffed birds; allergens; food for highly susceptible people; cold food held by time for six hours."),
        _("Cleaning, pests, water, waste, illness of workers and building: good practice, kept elsewhere."),
        _("Oven, gas, electricity and hood: the makers' instructions and licensed people."),
    )
    out = record.plan.limits.controls
    off = [words.group_word(group) for group in _ALL if group not in out]
    said = _("Switched off in this plan, so not controlled by it: %(groups)s.", groups=", ".join(off) or _("none"))
    return Section(key="not_covered", title=_("What this plan does not cover"), blocks=(Block(lines=(*lines, said)),))


_ALL = (
    *("cooking", "holding", "time_control", "cooling", "reheating", "cold_storage", "receiving", "probes"),
    *("balance", "foreign_body", "set_aside"),
)


def history(record: PlanRecord) -> Section:
    """Every version up to this one: who adopted what, and when."""
    befores = [None, *record.plans]
    rows = [
        (str(one.version), record.moment(one.adopted_at), record.person(one.adopted_by), one.code, changes(before, one))
        for before, one in zip(befores, record.plans, strict=False)
    ]
    heads = (_("No."), _("From"), _("Adopted by"), _("Code"), _("What changed"))
    block = Block(heads=heads, rows=rows[::-1], widths=(6, 22, 16, 19, 37))
    return Section(key="history", title=_("History of versions"), blocks=(block,))


def changes(before: Adopted | None, after: Adopted) -> str:
    """Say what a version changed against the one before; of the first, what it set on top of its code."""
    old = dict(before.settings) if before else {}
    new = dict(after.settings)
    limits = resolve(after, after.adopted_at.date()).limits
    said = [
        f"{words.setting_word(name)}: {words.setting_value(limits, name)}"
        for name in SETTINGS
        if old.get(name) != new.get(name)
    ]
    if before and before.code != after.code:
        said.insert(0, _("another code: %(code)s", code=after.code))
    if before and dict(before.texts) != dict(after.texts):
        said.append(_("the kitchen's own texts"))
    if before and before.attachments != after.attachments:
        said.append(_("attachments"))
    if before and before.variance != after.variance:
        said.append(_("variance: %(variance)s", variance=after.variance or _("none")))
    return "; ".join(said) or (_("nothing") if before else _("as the code says"))
