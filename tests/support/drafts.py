"""What was written down before a page is looked at: entries of the example day, kept through the ledger."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from app import ledger
from app.db import Database
from app.rules.day.shown import Assessment
from tests.support import cast

Draft = dict[str, Any]


def keep(database: Database, *drafts: Draft, by: str = "cook", at: datetime | str = "12:00") -> list[str]:
    """Keep entries as somebody of S1 writes them on the pages; gives their ids."""
    person = cast.PEOPLE[by]
    caller = ledger.Caller(login=person.login, name=person.name, role=person.role, via="session")
    now = cast.moment(at) if isinstance(at, str) else at
    with database.writing() as session:
        results = ledger.append(session, "S1", list(drafts), by=caller, at=now)
    assert [result.errors for result in results if result.status != "accepted"] == []
    return [str(draft["id"]) for draft in drafts]


def ordinary_day() -> list[Draft]:
    """One load, two birds probed, into one tray, checked once and sold by noon: nothing is owed but check the probe."""
    return [
        cast.draft("probe_check", at="06:10"),
        cast.draft("receiving", at="06:30"),
        cast.draft("unit_check", at="06:40"),
        cast.draft("unit_check", at="06:41", unit_code="blast"),
        cast.draft("load_started", at="09:00"),
        cast.draft("spit_loaded", at="09:02", ties=5),
        cast.draft("cook_reading", at="10:31", temperature="171.2"),
        cast.draft("cook_reading", at="10:32", bird=4, temperature="166"),
        cast.draft("spit_pulled", at="10:36", ties_removed=5),
        cast.draft("hold_reading", at="11:15"),
        cast.draft("tray_out", at="11:40", birds="5"),
    ]


def low_reading() -> list[Draft]:
    """The ordinary day with one reading of the tray under the holding limit: a deviation."""
    return [{**draft, "temperature": "128"} if draft["kind"] == "hold_reading" else draft for draft in ordinary_day()]


def evening() -> list[Draft]:
    """The second checks of the cold units, without which the day's end finds a gap."""
    return [
        cast.draft("unit_check", at="20:00"),
        cast.draft("unit_check", at="20:01", unit_code="blast"),
    ]


def finding(database: Database, rule: str, *, as_of: datetime | str = "12:00") -> str:
    """Give the key of the day's finding of a rule."""
    now = cast.moment(as_of) if isinstance(as_of, str) else as_of
    with database.reading() as session:
        assessment = ledger.assess_day(session, "S1", cast.DAY, as_of=now)
    return next(one.key for one in assessment.findings if one.rule == rule)


def action(*keys: str, at: str = "11:30", **fields: Any) -> Draft:
    """A corrective action about findings."""
    return cast.draft("corrective_action", at=at, findings=list(keys), **{"disposition": "serve_now", **fields})


def mending(draft: Mapping[str, Any], **changed: Any) -> Draft:
    """A new version of an entry, with a reason."""
    fields = {name: value for name, value in draft.items() if name != "id"}
    return {**fields, **changed, "id": cast.draft("note", at="12:00")["id"], "amends": draft["id"]} | {
        "amend_reason": "read the wrong line"
    }


def loaded(*, spits: int = 2) -> list[Draft]:
    """A load that is cooking, with a checked probe and a received lot."""
    return [
        cast.draft("receiving", at="06:30"),
        cast.draft("probe_check", at="06:00"),
        cast.draft("load_started", at="09:00"),
        *(cast.draft("spit_loaded", at="09:02", spit=spit) for spit in range(1, spits + 1)),
    ]


def pulled() -> list[Draft]:
    """One spit probed and pulled into tray A-T1 at 10:36."""
    return [
        *loaded(spits=1),
        cast.draft("cook_reading", at="10:31", temperature="171.2"),
        cast.draft("cook_reading", at="10:32", bird=4, temperature="166"),
        cast.draft("spit_pulled", at="10:36"),
    ]


def chilled(*readings: tuple[str, str]) -> list[Draft]:
    """Two birds chilled at 11:40 in the walk-in, the last good hold reading at 11:15, and readings of the batch."""
    out = cast.draft("tray_out", at="11:40", to="chilled", birds="2", batch="A-B1", cold_unit="walk-in")
    read = [cast.draft("cooling_reading", at=at, temperature=degrees) for at, degrees in readings]
    return [*ordinary_day()[:-1], {**out, "method": "cut_up"}, *read]


def assessed(database: Database, at: datetime | str = "12:00") -> Assessment:
    """Assess the example day of kitchen S1."""
    now = cast.moment(at) if isinstance(at, str) else at
    with database.reading() as session:
        return ledger.assess_day(session, "S1", cast.DAY, as_of=now)
