"""A sign-in as the browser holds it, in the signed cookie of its session; and whether it still counts."""

from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any

from flask import current_app
from sqlalchemy.orm import Session

from app import models, register
from app.db import milliseconds, moment

PIN, RECENT = "pin", "recent"
"""What showed who is at a tablet: the PIN, or the name alone."""


@dataclass(frozen=True, slots=True)
class SignedIn:
    """Who signed in where; `at` is when the password or PIN was typed, `seen` the last page, in milliseconds."""

    site: str
    login: str
    tablet: str | None
    key: str
    at: int
    seen: int
    identified: str | None

    @classmethod
    def of(cls, kept: dict[str, Any] | None) -> "SignedIn | None":
        """Give the sign-in that a session holds; None where it holds none."""
        return cls(**{"identified": None, **kept}) if kept else None

    def kept(self) -> dict[str, Any]:
        """Give it as a session holds it."""
        return asdict(self)

    @property
    def leaves_at(self) -> datetime:
        """When it ends if no page is asked for."""
        idle = timedelta(minutes=current_app.config["TABLET_IDLE_MIN" if self.tablet else "SESSION_IDLE_MIN"])
        return min(moment(self.seen) + idle, self._ends_at)

    def is_over(self, now: datetime) -> bool:
        """Whether it has ended by itself."""
        return now > self.leaves_at

    def is_recent(self, now: datetime) -> bool:
        """Whether the name alone is enough: this person was at the tablet within the last minutes."""
        recent = timedelta(minutes=current_app.config["PERSON_RECENT_MIN"])
        return self.tablet is not None and now <= min(moment(self.seen) + recent, self._ends_at)

    @property
    def _ends_at(self) -> datetime:
        return moment(self.at) + timedelta(hours=current_app.config["SESSION_HOURS"])

    def find_person(self, database: Session) -> models.Person | None:
        """Give the person, unless they retired, signed out, or got another role, password or PIN since."""
        site = register.find_site(database, self.site)
        person = register.find_person(database, site, self.login) if site else None
        if person is None or person.retired_at is not None or milliseconds(person.credentials_at) > self.at:
            return None
        return person if register.is_signed_in(database, person, self.key) else None
