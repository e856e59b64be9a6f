"""What serving itself needs: jobs, logs being drawn, what is being counted, the row that the health check writes."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, LargeBinary, String, Text, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class Job(Base):
    """Work to be done outside a request (see app/server/jobs.py); asked for in the transaction that makes it due."""

    __tablename__ = "jobs"
    __table_args__ = (UniqueConstraint("kind", "key"),)
    id: Mapped[int] = mapped_column(primary_key=True)
    kind: Mapped[str] = mapped_column(String(32))
    key: Mapped[str] = mapped_column(String(200))
    """What it is about: asked for twice, it is done once."""
    payload: Mapped[str] = mapped_column(Text)
    """JSON object."""
    asked_at: Mapped[datetime] = mapped_column(Instant)
    due_at: Mapped[datetime] = mapped_column(Instant, index=True)
    """When it is to be tried next."""
    tries: Mapped[int]
    error: Mapped[str | None] = mapped_column(Text)
    """What went wrong at the last try."""
    done_at: Mapped[datetime | None] = mapped_column(Instant)


class Drawing(Base):
    """A log that somebody asked for, drawn outside the request (see app/server/drawings.py) and kept for an hour."""

    __tablename__ = "drawings"
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    day: Mapped[date]
    through_seq: Mapped[int]
    """The head of the records when it was asked for."""
    as_of: Mapped[datetime] = mapped_column(Instant)
    asked_at: Mapped[datetime] = mapped_column(Instant, index=True)
    is_made: Mapped[bool]
    is_failed: Mapped[bool]
    pdf: Mapped[bytes | None] = mapped_column(LargeBinary, deferred=True)


class PlanEffect(Base):
    """What a change of the plan would have changed, as far as it is counted (see app/server/plan_counting.py)."""

    __tablename__ = "plan_effects"
    id: Mapped[int] = mapped_column(primary_key=True)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"))
    change: Mapped[str] = mapped_column(Text)
    """JSON object: code, settings and values that were asked for."""
    through_seq: Mapped[int]
    """The head of the records when it was asked for."""
    as_of: Mapped[datetime] = mapped_column(Instant)
    moved_at: Mapped[datetime] = mapped_column(Instant, index=True)
    """When a day was last counted."""
    days: Mapped[int]
    found: Mapped[str] = mapped_column(Text)
    """JSON object: for `gone` and `new`, the key of each finding and its rule."""


class WriteCheck(Base):
    """One row that the health check writes to see whether an entry would be kept."""

    __tablename__ = "write_checks"
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    at: Mapped[datetime] = mapped_column(Instant)
    padding: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    """As many bytes as several entries take, where the disk is nearly full: else a smaller row might still fit."""
