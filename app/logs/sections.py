"""The chapters of the log, one for each group of controls, and what belongs to none."""

from collections.abc import Iterable
from dataclasses import dataclass

from app import words
from app.rules.day.shown import Assessment
from app.rules.plans.plan import Plan
from app.words.marking import gettext as _

from . import blocks
from .blocks import Block
from .lines import Logbook

_EQUIPMENT_KINDS = ("oven_setting", "equipment_out", "equipment_back")


@dataclass(frozen=True, slots=True)
class Section:
    """One chapter of the log. `off` names the controls of this chapter that the plan does not have in force."""

    title: str
    off: str
    blocks: tuple[Block, ...]


def sections(assessment: Assessment, book: Logbook) -> tuple[Section, ...]:
    """Write the chapters in the order in which birds go through the kitchen."""
    day, plan = assessment, assessment.plan
    return (
        _section(_("Receiving"), plan, "receiving", (blocks.receiving_block(one, book) for one in day.receiving)),
        _section(_("Cooking"), plan, "cooking foreign_body", (blocks.load_block(one, book) for one in day.loads)),
        _section(_("Hot holding"), plan, "holding time_control", (blocks.tray_block(one, book) for one in day.trays)),
        _section(_("Cooling"), plan, "cooling", (blocks.batch_block(one, book) for one in day.batches)),
        _section(_("Reheating"), plan, "reheating", (blocks.reheat_block(one, book) for one in day.reheats)),
        _section(
            _("Cold storage"), plan, "cold_storage", (blocks.cold_unit_block(one, book) for one in day.cold_units)
        ),
        _section(_("Probes"), plan, "probes", (blocks.probe_block(one, book) for one in day.probes)),
        _section(_("Checklists, ovens and notes"), plan, "", _others(assessment, book)),
    )


def _section(title: str, plan: Plan, groups: str, written: Iterable[Block]) -> Section:
    off = [words.group_word(group) for group in groups.split() if not plan.has(group)]
    return Section(title, ", ".join(off), tuple(written))


def _others(assessment: Assessment, book: Logbook) -> list[Block]:
    cold = {unit.unit_code for unit in assessment.cold_units}
    hot_checks = [entry for entry in book.of_day("unit_check") if entry.fields["unit_code"] not in cold]
    listed = (
        Block(title=_("Opening and closing"), lines=book.lines(book.of_day("checklist", "in_charge_from"))),
        Block(title=_("Ovens and equipment"), lines=book.lines(book.of_day(*_EQUIPMENT_KINDS)), names_subject=True),
        blocks.hot_unit_block(hot_checks, book),
        Block(title=_("Raw birds out"), lines=book.lines(book.of_day("raw_out")), names_subject=True),
        Block(title=_("Notes"), lines=book.lines(book.of_day("note"))),
    )
    return [block for block in listed if block.lines]
