"""What a change of the plan would have changed, counted outside the request, and kept while the records are the same.

Where the process for jobs lives, it counts; where none lives (a development server, a test), or where it has got
stuck, each request that asks counts for a moment, and the next one goes on from there. Where nothing can be written,
how far that is is kept in the memory of the process that answers.
"""

import json
import logging
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta

from flask import current_app
from sqlalchemy import delete, select
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session

from app import clock, ledger, register
from app.models import PlanEffect

from . import get_database, jobs
from .keeping import PATIENCE_S
from .outages import outage_of
from .plan_effect import Change, Effect, count_on

_STEP_S = 2.0
_SAME_FOR = timedelta(minutes=1)
"""For so long it is given out though entries have come since: it is counted anew after that."""
_IS_STUCK_AFTER = timedelta(minutes=1)
_KEPT = timedelta(days=1)
_UNKEPT, _UNKEPT_FOR = "unkept_effect", timedelta(minutes=10)

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class _Unkept:
    """A count that cannot be written down: which change of which database and site, and how far it is."""

    about: tuple[str, str, str]
    as_of: datetime
    effect: Effect


def ask_for_effect(site: str, change: Change) -> Effect:
    """Give how far it is counted, at once; whoever asks again is given more, until it is whole."""
    now = clock.utc_now()
    try:
        return _count_kept(site, change, now=now)
    except SQLAlchemyError as error:
        if outage_of(error) is None:
            raise
        _log.warning("the effect of a plan is counted in the request, since nothing can be written: %s", error)
        return _count_unkept(site, change, now=now)


def _count_unkept(site: str, change: Change, *, now: datetime) -> Effect:
    about, found = (get_database().url, site, _text(change)), current_app.extensions.get(_UNKEPT)
    before = _Unkept(about, now, Effect())
    if isinstance(found, _Unkept) and found.about == about and now - found.as_of < _UNKEPT_FOR:
        before = found
    with get_database().reading() as session:
        effect = count_on(session, site, change, before.effect, as_of=before.as_of, longest_s=_STEP_S)
    current_app.extensions[_UNKEPT] = replace(before, effect=effect)
    return effect


def _count_kept(site: str, change: Change, *, now: datetime) -> Effect:
    with get_database().reading() as session:
        found = _find(session, site, change, now=now)
    if found is None:
        with get_database().writing(patience_s=PATIENCE_S) as session:
            found = _take_in(session, site, change, now=now)
    effect = _effect_of(found)
    is_counted_elsewhere = jobs.is_running() and now - found.moved_at < _IS_STUCK_AFTER
    return effect if effect.is_whole or is_counted_elsewhere else (_step(found.id, site) or effect)


def _find(session: Session, site: str, change: Change, *, now: datetime) -> PlanEffect | None:
    """Give what is being counted, or is counted from these records or was a moment ago."""
    site_id = register.get_site(session, site).id
    same = select(PlanEffect).where(PlanEffect.site_id == site_id, PlanEffect.change == _text(change))
    found = session.scalar(same.where(PlanEffect.moved_at > now - _KEPT).order_by(PlanEffect.id.desc()).limit(1))
    if found is None or ledger.today(session, site, found.as_of) != ledger.today(session, site, now):
        return None
    is_same = found.through_seq == ledger.head(session, site)[0] or found.moved_at > now - _SAME_FOR
    return found if is_same or not _effect_of(found).is_whole else None


def _take_in(session: Session, site: str, change: Change, *, now: datetime) -> PlanEffect:
    session.execute(delete(PlanEffect).where(PlanEffect.moved_at <= now - _KEPT))
    new = PlanEffect(
        site_id=register.get_site(session, site).id,
        change=_text(change),
        through_seq=ledger.head(session, site)[0],
        as_of=now,
        moved_at=now,
        days=0,
        found=json.dumps({"gone": {}, "new": {}}),
    )
    session.add(new)
    session.flush()
    jobs.ask(session, "count_effect", str(new.id), {"effect": new.id, "site": site}, at=now)
    return new


@jobs.job("count_effect", lane="counting")
def _count(payload: jobs.Payload, at: datetime) -> None:
    """Count it whole; after each step it is kept how far that is."""
    while (effect := _step(payload["effect"], payload["site"])) is not None and not effect.is_whole:
        pass


def _step(number: int, site: str) -> Effect | None:
    """Count on for a moment; gives None where nobody wants to know any more."""
    with get_database().reading() as session:
        if (row := session.get(PlanEffect, number)) is None:
            return None
        change = Change(**json.loads(row.change))
        effect = count_on(session, site, change, _effect_of(row), as_of=row.as_of, longest_s=_STEP_S)
    with get_database().writing() as session:
        row = session.get(PlanEffect, number)
        if row is not None and row.days < effect.days:
            row.days, row.moved_at = effect.days, clock.utc_now()
            row.found = json.dumps({"gone": effect.gone, "new": effect.new})
    return effect


def _effect_of(row: PlanEffect) -> Effect:
    return Effect(row.days, **json.loads(row.found))


def _text(change: Change) -> str:
    return json.dumps(asdict(change), sort_keys=True)
