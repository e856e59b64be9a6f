"""Whether food is still here: what holds birds that passed through a spit, tray, batch, reheat or delivery."""

from collections.abc import Iterator
from decimal import Decimal

from app.kinds import Subject
from app.rules.day.shown import Assessment

Held = tuple[Subject, Decimal]


def holders_of(assessment: Assessment, subject: Subject) -> list[Held]:
    """Give what holds birds now that passed through a subject; it may hold birds from elsewhere too."""
    passed, held = _passed(assessment, subject), dict(held_now(assessment))
    return [(one, held[one]) for one in passed if one in held]


def _passed(assessment: Assessment, subject: Subject) -> list[Subject]:
    """Give every subject that birds of one went through, itself first."""
    moves = list(_moves(assessment))
    reached = list(_spits_of(assessment, subject)) if subject.kind == "receiving" else [subject]
    for source in reached:  # grows while it is walked
        reached += [target for origin, target in moves if origin == source and target not in reached]
    return reached


def _moves(assessment: Assessment) -> Iterator[tuple[Subject, Subject]]:
    for entry in assessment.entries:
        if entry.id not in assessment.superseded_by:
            found = entry.flows()
            sources = [flow.subject for flow in found if flow.birds < 0]
            yield from ((source, flow.subject) for source in sources for flow in found if flow.birds > 0)


def _spits_of(assessment: Assessment, delivery: Subject) -> Iterator[Subject]:
    for load in assessment.loads:
        yield from (Subject("spit", load.load, one.spit) for one in load.spits if delivery.name in one.lots)


def held_now(assessment: Assessment) -> Iterator[Held]:
    """Give what holds birds, and how many: spits, trays, batches, reheats, each in order of opening."""
    for load in assessment.loads:
        yield from ((Subject("spit", load.load, one.spit), Decimal(one.birds_on)) for one in load.spits if one.birds_on)
    yield from ((Subject("tray", one.tray), one.birds_left) for one in assessment.trays if one.birds_left)
    yield from ((Subject("batch", one.batch), one.birds_left) for one in assessment.batches if one.birds_left)
    yield from ((Subject("reheat", one.reheat), one.birds_left) for one in assessment.reheats if one.birds_left)
