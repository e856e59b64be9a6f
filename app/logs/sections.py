"""The chapters of the log, one for each group of controls, and what belongs to none."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache

from app import words
from app.kinds import (
    KINDS,
    Checklist,
    Entry,
    EquipmentBack,
    EquipmentOut,
    InChargeFrom,
    Note,
    OvenSetting,
    ProbeCheck,
    RawOut,
    Receiving,
    SignOff,
    UnitCheck,
    of_kind,
)
from app.kinds.naming import answers_findings, names_food
from app.rules.day.shown import Assessment
from app.rules.plans.plan import Plan
from app.words.marking import gettext as _

from . import blocks
from .blocks import Block
from .equipment_blocks import cold_unit_block, hot_unit_block, probe_block
from .lines import Line, Logbook

_OPENING = (Checklist, InChargeFrom)
_EQUIPMENT = (OvenSetting, EquipmentOut, EquipmentBack)
_ELSEWHERE = (Receiving, RawOut, UnitCheck, ProbeCheck, SignOff, *_OPENING, *_EQUIPMENT)
"""Kinds that have a chapter or block of their own, beside those about food and the answers to findings."""


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
        _section(_("Cold storage"), plan, "cold_storage", (cold_unit_block(one, book) for one in day.cold_units)),
        _section(_("Probes"), plan, "probes", (probe_block(one, book) for one in day.probes)),
        _section(_("Checklists, ovens and notes"), plan, "", _others(assessment, book)),
    )


def _section(title: str, plan: Plan, groups: str, written: Iterable[Block]) -> Section:
    off = [words.group_word(group) for group in groups.split() if not plan.has(group)]
    return Section(title, ", ".join(off), tuple(written))


def _others(assessment: Assessment, book: Logbook) -> list[Block]:
    cold = {unit.unit_code for unit in assessment.cold_units}
    hot_checks = [check for check in of_kind(book.of_day(UnitCheck), UnitCheck) if check.unit_code not in cold]
    listed = (
        Block(title=_("Opening and closing"), lines=book.lines(book.of_day(*_OPENING))),
        Block(title=_("Ovens and equipment"), lines=book.lines(book.of_day(*_EQUIPMENT)), names_subject=True),
        hot_unit_block(hot_checks, book),
        Block(title=_("Raw birds out"), lines=book.lines(book.of_day(RawOut)), names_subject=True),
        Block(title=_("People, equipment and plan"), lines=_set_up(assessment, book)),
        Block(title=_("Notes"), lines=tuple(map(_with_kind, book.lines(book.of_day(*_rest()))))),
    )
    return [block for block in listed if block.lines]


def _set_up(assessment: Assessment, book: Logbook) -> tuple[Line, ...]:
    """Write what was changed of the register; first, where it is so, that earlier roles are not known."""
    lines = book.lines(assessment.set_up)
    if assessment.roles_since is None:
        return lines
    since = words.day_words(assessment.roles_since.astimezone(assessment.site.timezone).date())
    return (book.remark(_("Roles before %(day)s are not known; those of that day are taken.", day=since)), *lines)


def _with_kind(line: Line) -> Line:
    """Say of which kind a line is, where it is no note: nothing around it does."""
    if isinstance(line.entry, Note):
        return line
    what, brief = (f"{line.kind}: {said}" if said else line.kind for said in (line.what, line.brief))
    return replace(line, what=what, brief=brief)


@cache
def _rest() -> tuple[type[Entry], ...]:
    """Give the kinds that no other part of the log holds: no entry is left out of it."""
    return tuple(
        kind
        for kind in KINDS.values()
        if kind not in _ELSEWHERE and not names_food(kind) and not answers_findings(kind)
    )
