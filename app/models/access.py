"""How somebody gets in: links, tokens, sign-ins, and failed tries counted."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class SetUpLink(Base):
    """A link that opens the set-up of a new kitchen, once: only the SHA-256 of its text is kept. No record."""

    __tablename__ = "set_up_links"
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    expires_at: Mapped[datetime] = mapped_column(Instant)
    used_at: Mapped[datetime | None] = mapped_column(Instant)


class InspectionLink(Base):
    """A link that shows a stretch of days to whoever has it, until it ends: only the SHA-256 of its text is kept."""

    __tablename__ = "inspection_links"
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    whom: Mapped[str] = mapped_column(Text)
    made_by: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime] = mapped_column(Instant)
    first: Mapped[date]
    last: Mapped[date]
    expires_at: Mapped[datetime] = mapped_column(Instant)
    revoked_at: Mapped[datetime | None] = mapped_column(Instant)


class InspectionUse(Base):
    """One use of a link: when, what was shown, and to which network address."""

    __tablename__ = "inspection_uses"
    id: Mapped[int] = mapped_column(primary_key=True)
    link_id: Mapped[int] = mapped_column(ForeignKey("inspection_links.id"), index=True)
    at: Mapped[datetime] = mapped_column(Instant)
    shown: Mapped[str] = mapped_column(String(64))
    address: Mapped[str] = mapped_column(String(64))


class Credential(Base):
    """A bearer token of a person or of an enrolled tablet; only its SHA-256 is kept."""

    __tablename__ = "credentials"
    __table_args__ = (CheckConstraint("(person_id IS NULL) <> (tablet IS NULL)", name="holder"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    person_id: Mapped[int | None] = mapped_column(ForeignKey("people.id"))
    tablet: Mapped[str | None] = mapped_column(String(32))
    digest: Mapped[str] = mapped_column(String(64), unique=True)
    added_at: Mapped[datetime] = mapped_column(Instant)
    expires_at: Mapped[datetime | None] = mapped_column(Instant)
    revoked_at: Mapped[datetime | None] = mapped_column(Instant)


class SignIn(Base):
    """A sign-in that goes on: signing out removes it, so that a copied cookie is worth nothing from then on."""

    __tablename__ = "sign_ins"
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    """SHA-256 of the key that the browser holds."""
    person_id: Mapped[int] = mapped_column(ForeignKey("people.id"))
    started_at: Mapped[datetime] = mapped_column(Instant, index=True)
    password_at: Mapped[datetime | None] = mapped_column(Instant)
    """When the password was last typed in this sign-in; None where a PIN began it."""


class Throttle(Base):
    """Failed sign-ins and tokens, counted by what was tried, so that guessing ends however many processes serve."""

    __tablename__ = "throttles"
    key: Mapped[str] = mapped_column(String(128), primary_key=True)
    failures: Mapped[int]
    first_at: Mapped[datetime] = mapped_column(Instant)
    last_at: Mapped[datetime] = mapped_column(Instant)
