"""Kitchen S1 through some days that are signed one after the other, their logs kept."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from flask import Flask

from app import ledger
from app.server import kept_logs
from tests.support import cast, drafts
from tests.support.ledger_kitchen import PAT


@dataclass(frozen=True)
class KeptDays:
    """Writes days, signs them and keeps their logs; inside the app's context."""

    app: Flask

    def write(self, day: date, *, low: bool = False) -> None:
        """Write an ordinary day, at seven in its evening."""
        told = drafts.low_reading() if low else drafts.ordinary_day()
        shift = day - cast.DAY
        drafts.keep(
            self.app.extensions["database"], *(_moved(one, shift) for one in told), at=cast.moment("19:00") + shift
        )

    def sign(self, day: date, *, at: datetime | None = None) -> int:
        """Sign a day over the head as it stands; gives the seq of the sign-off."""
        now = at or cast.moment("20:00", day=day)
        with self.app.extensions["database"].writing() as session:
            shown = ledger.head(session, "S1")
            result = kept_logs.sign_day(session, "S1", day, by=PAT, at=now, shown=shown)
        assert result.seq is not None, result.errors
        return result.seq

    def keep(self, signed_seq: int, *, at: datetime) -> bytes:
        """Make the log of a sign-off; gives its file."""
        kept_logs.keep("S1", signed_seq, at=at)
        with self.app.extensions["database"].reading() as session:
            return kept_logs.read_pdf(session, "S1", signed_seq)


def _moved(draft: drafts.Draft, shift: timedelta) -> drafts.Draft:
    """Give a draft of the example day for another one; names are used once for ever."""
    moved = {**draft, "observed_at": (datetime.fromisoformat(str(draft["observed_at"])) + shift).isoformat()}
    for name in ("load", "tray", "lot"):
        if shift and name in moved:
            moved[name] = f"{moved[name]}-{shift.days}"
    return moved
