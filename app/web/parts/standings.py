"""How days stand, read from what is kept of past days: at most a few are assessed, whoever asks for a month."""

from datetime import date, timedelta

from app import clock, ledger
from app.rules.figures.day_figures import NO_ENTRIES, Standing, standing
from app.server import get_database
from app.server.keeping import PATIENCE_S, unless_away

AT_MOST = 62
"""Days made anew in one request: two months, where nothing is kept yet."""
_ONE_DAY = timedelta(days=1)


def read_standings(code: str, first: date, last: date) -> dict[date, Standing]:
    """Give how each day from one to another stands that has begun; what was made anew for it is kept."""
    now, database = clock.utc_now(), get_database()
    with database.reading() as session:
        today = ledger.today(session, code, now)
        found = ledger.past_days(session, code, first, last, as_of=now, at_most=AT_MOST)
        running = standing(ledger.assess_day(session, code, today, as_of=now)) if first <= today <= last else None
    if found.update is not None:
        with unless_away("figures of past days"), database.writing(patience_s=PATIENCE_S) as session:
            ledger.keep_figures(session, code, found.update)
    days = {day.day: day.standing for day in found.days}
    if running is not None:
        days[today] = running
    begun = [first + _ONE_DAY * number for number in range((min(last, today) - first).days + 1)]
    return {day: days.get(day, NO_ENTRIES) for day in begun}
