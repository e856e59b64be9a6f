"""People and equipment, as the entries of the register add up to them."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class Person(Base):
    """Somebody who may sign in, with a role of kinds.permissions. People are retired, never removed."""

    __tablename__ = "people"
    __table_args__ = (UniqueConstraint("site_id", "login"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    login: Mapped[str] = mapped_column(String(64))
    name: Mapped[str] = mapped_column(Text)
    role: Mapped[str] = mapped_column(String(16))
    password_hash: Mapped[str] = mapped_column(Text)
    pin_hash: Mapped[str | None] = mapped_column(Text)
    language: Mapped[str | None] = mapped_column(String(8))
    certificate: Mapped[str | None] = mapped_column(Text)
    """The number of the certificate of a person in charge (food protection manager), as it was written down."""
    credentials_at: Mapped[datetime] = mapped_column(Instant)
    """When password, PIN or role last changed: sign-ins made before it have ended."""
    added_at: Mapped[datetime] = mapped_column(Instant)
    retired_at: Mapped[datetime | None] = mapped_column(Instant)
    told_at: Mapped[datetime | None] = mapped_column(Instant)
    """Up to when they were told what others changed about their access; None: not since they were added. No record."""


class Equipment(Base):
    """An oven, hot-holding unit, cold unit or probe; codes are unique in a site across kinds. Retired, not removed."""

    __tablename__ = "equipment"
    __table_args__ = (
        UniqueConstraint("site_id", "code"),
        CheckConstraint("kind IN ('oven', 'hot_unit', 'cold_unit', 'probe')", name="kind"),
        CheckConstraint("scale IN ('F', 'C', 'dual')", name="scale"),
    )
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    code: Mapped[str] = mapped_column(String(32))
    kind: Mapped[str] = mapped_column(String(16))
    scale: Mapped[str | None] = mapped_column(String(4))
    added_at: Mapped[datetime] = mapped_column(Instant)
    retired_at: Mapped[datetime | None] = mapped_column(Instant)
