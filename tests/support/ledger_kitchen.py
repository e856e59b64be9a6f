"""Kitchen S1 with its ledger on a real database: who writes there, and the drafts that most tests begin with."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy.orm import Session

from app import ledger, models, register
from app.db import Database
from app.rules.day.shown import Assessment
from tests.support import cast

COOK = ledger.Caller("cook", "Casey Cook", "cook", "token:1")
PAT = ledger.Caller("pat", "Pat Porter", "in_charge", "session", signing=True)
TABLET = ledger.Caller("", "", "cook", "tablet:A")
EVENING = cast.moment("23:00")

Draft = Mapping[str, Any]


@dataclass(frozen=True)
class Kitchen:
    """Kitchen S1 with an empty ledger."""

    database: Database

    def post(
        self,
        *drafts: object,
        by: ledger.Caller = COOK,
        at: datetime | str = EVENING,
        together: bool = False,
    ) -> list[ledger.Result]:
        """Append drafts at a moment (or time of day) and commit."""
        now = cast.moment(at) if isinstance(at, str) else at
        with self.database.writing() as session:
            return ledger.append(session, "S1", drafts, by=by, at=now, together=together)

    def accept(self, *drafts: Draft, by: ledger.Caller = COOK, at: datetime | str = EVENING) -> list[ledger.Result]:
        """Append drafts that are all in order."""
        results = self.post(*drafts, by=by, at=at)
        assert [result.errors for result in results] == [()] * len(drafts)
        return results

    def refuse(self, draft: object, *, by: ledger.Caller = COOK, at: datetime | str = EVENING) -> list[tuple[str, str]]:
        """Append a draft that is not in order; give field and code of each error."""
        (result,) = self.post(draft, by=by, at=at)
        assert result.status == "rejected"
        return [(error.field, error.code) for error in result.errors]

    def head(self) -> tuple[int, str]:
        """Give seq and hash of the newest entry."""
        with self.database.reading() as session:
            return ledger.head(session, "S1")

    def change_register(self, what: Callable[[Session, models.Site], object]) -> None:
        """Change something of the register, and commit."""
        with self.database.writing() as session:
            what(session, register.get_site(session, "S1"))

    def adopt(self, settings: Mapping[str, str], *, by: str = "pat") -> None:
        """Adopt the next version of the plan in the evening."""

        def adopted(session: Session, site: models.Site) -> object:
            person = register.get_person(session, site, by)
            return register.adopt_plan(session, site, None, settings, by=person, at=EVENING)

        self.change_register(adopted)

    def assess(self, *, day: Any = cast.DAY, as_of: datetime = EVENING, through_seq: int | None = None) -> Assessment:
        """Assess a day from the ledger."""
        with self.database.reading() as session:
            return ledger.assess_day(session, "S1", day, as_of=as_of, through_seq=through_seq)

    def lines(self, after_seq: int = 0) -> Sequence[bytes]:
        """Give the lines of the kitchen's own entries, after so many of them."""
        with self.database.reading() as session:
            return list(ledger.ledger_lines(session, "S1", cast.nth(after_seq)))

    def whole_ledger(self) -> bytes:
        """Give the ledger from its very beginning."""
        with self.database.reading() as session:
            return b"".join(ledger.ledger_lines(session, "S1", 0))

    def verify(self) -> ledger.Broken | None:
        """Verify the ledger."""
        with self.database.reading() as session:
            return ledger.verify(session, "S1")

    def tables(self) -> list[list[tuple[Any, ...]]]:
        """Give what is kept beside the ledger."""
        with self.database.engine.connect() as connection:
            return [
                sorted(map(tuple, connection.exec_driver_sql(f"SELECT * FROM {table}").all()), key=repr)
                for table in ("entry_subjects", "subject_spans")
            ]


def spit_loaded(birds: int = 5) -> list[dict[str, Any]]:
    """Give the drafts of a load with one spit."""
    return [cast.draft("load_started", at="09:00"), cast.draft("spit_loaded", at="09:02", birds=birds)]


def tray_filled(birds: int = 5) -> list[dict[str, Any]]:
    """Give the drafts of a load whose one spit was pulled into tray A-T1 at 10:36."""
    return [*spit_loaded(birds), cast.draft("spit_pulled", at="10:36", birds=birds)]


def batch_chilled(birds: int = 5) -> list[dict[str, Any]]:
    """Give the drafts of a tray that was chilled whole as batch A-B1 at 12:00."""
    return [*tray_filled(birds), cast.draft("tray_out", at="12:00", birds=birds, to="chilled", batch="A-B1")]


def why(result: ledger.Result) -> tuple[str, str, object]:
    """Give field, code and reason of the one error for which something was not signed."""
    (error,) = result.errors
    return error.field, error.code, error.values.get("why")
