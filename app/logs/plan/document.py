"""The HACCP plan as one typed view: everything that stands in the document, in words, made from the adopted plan."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from app import words
from app.words.marking import gettext as _

from ..heading import paper_size
from . import control_sections, keeping_sections, kitchen_sections
from .blocks import Section
from .points_of_law import points_of_law
from .record import PlanRecord

_SECTIONS: Sequence[Callable[[PlanRecord], Section]] = (
    kitchen_sections.kitchen,
    kitchen_sections.team,
    kitchen_sections.product,
    kitchen_sections.flow,
    kitchen_sections.recipes,
    kitchen_sections.premises,
    control_sections.hazards,
    control_sections.critical_points,
    control_sections.critical_limits,
    control_sections.monitoring,
    control_sections.actions,
    kitchen_sections.time_control,
    keeping_sections.verification,
    keeping_sections.records,
    kitchen_sections.training,
    kitchen_sections.validation,
    keeping_sections.variances,
    keeping_sections.not_covered,
    keeping_sections.history,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDocument:
    """All that is printed."""

    language: str
    paper: str
    title: str
    site: str
    place: str
    state: str
    adopted: str
    approval: tuple[str, ...]
    sections: tuple[Section, ...]
    created: str
    """The instant of the document as PDF metadata takes it."""

    @property
    def missing(self) -> tuple[str, ...]:
        """The headings of the sections in which only the kitchen can write, and has not yet."""
        return tuple(section.heading for section in self.sections if section.missing)


def plan_document(record: PlanRecord) -> PlanDocument:
    """Write a version of a plan out."""
    with words.by_clock(record.site.clock), words.own_checks(record.site.own_checks):
        return _written(record)


def _written(record: PlanRecord) -> PlanDocument:
    written = [replace(make(record), number=number) for number, make in enumerate(_SECTIONS, 1)]
    law = replace(points_of_law(written), number=len(written) + 1)
    site, plan = record.site, record.plan
    values = {"number": plan.version, "name": record.person(plan.adopted_by), "at": record.moment(plan.adopted_at)}
    return PlanDocument(
        language=words.language(),
        paper=paper_size(site.timezone.key),
        title=_("HACCP plan: %(site)s, version %(number)s", site=site.name, number=plan.version),
        site=f"{site.name} ({site.code})",
        place=", ".join(part for part in (site.address, _permit(site.permit)) if part),
        state=_("version %(number)s", number=plan.version),
        adopted=_("Version %(number)s, adopted for this kitchen by %(name)s, %(at)s", **values),
        approval=approval(),
        sections=(*written, law),
        created=record.made_of.strftime("%Y-%m-%dT%H:%M:%SZ"),
    )


def _permit(number: str | None) -> str:
    return _("permit %(number)s", number=number) if number else ""


def approval() -> tuple[str, ...]:
    """Say plainly whose word makes a plan an approved one."""
    return (
        _("A plan is approved by the regulatory authority, not by a program."),
        _("This document says what the kitchen adopted. Ask the authority which parts of it need its approval."),
    )
