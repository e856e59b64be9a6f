"""The kitchen's own past cooking, for forecasts: spits of the last weeks, found by time and kind."""

from datetime import datetime, timedelta

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.kinds import Temperature
from app.rules.forecasts.cook_records import past_records
from app.rules.forecasts.roasting import RoastHistory, learn
from app.rules.history.kitchen import Kitchen
from app.rules.history.versions import effective

from .. import register
from ..form.typed import Row, typed
from ..index import rows
from ..index.rows import ENTRY
from ..register_entries import calendar_of_row

_WEEKS = timedelta(weeks=2)
_SPITS = 60
"""As many of the last spits are learnt from (house): what a kitchen did long ago says less of today."""

_KINDS = ("load_started", "spit_loaded", "oven_setting", "cook_reading", "spit_pulled")


def cooking_history(session: Session, code: str, *, before: datetime, limit: Temperature) -> RoastHistory:
    """Learn from the spits of the two weeks before a moment how long they take to reach a limit here."""
    row = register.get_site_row(session, code)
    query = select(ENTRY.seq, ENTRY.root_seq, ENTRY.body).where(
        ENTRY.site_id == row.id,
        ENTRY.observed_at >= before - _WEEKS,
        ENTRY.observed_at < before,
        ENTRY.kind.in_(_KINDS),
        ENTRY.root_seq == ENTRY.seq,
    )
    found = [Row(*columns) for columns in session.execute(query)]
    mended = rows.amendments_of(session.connection(), row.id, [first.seq for first in found])
    entries = typed([*found, *mended], {})
    calendar = calendar_of_row(session, row)
    kitchen = Kitchen(effective(entries, as_of=before), site=calendar.site, plan_at=calendar.plan_at)
    return learn(past_records(kitchen, before=before)[-_SPITS:], limit=limit)
