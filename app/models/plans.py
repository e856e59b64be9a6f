"""Versions of a plan, their files and signed documents, and the next version while it is a draft."""

from datetime import datetime

from sqlalchemy import ForeignKey, LargeBinary, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class PlanVersion(Base):
    """A HACCP plan as adopted: a code of law and what the site set on top. Versions are added, never changed."""

    __tablename__ = "plans"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    version: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    code: Mapped[str] = mapped_column(String(64))
    settings: Mapped[str] = mapped_column(Text)
    """JSON object, limit name → text as given to `plan --set`."""
    variance: Mapped[str | None] = mapped_column(Text)
    """The variance that allows what is looser than the code, by name and number."""
    authority: Mapped[str | None] = mapped_column(Text)
    """Who adopted the model code here: the site's own words for «adopted here by»."""
    adopted_by: Mapped[str] = mapped_column(String(64))
    adopted_at: Mapped[datetime] = mapped_column(Instant)


class PlanFile(Base):
    """The bytes of a file that belongs to a plan, under their digest: the entry of the adoption says the same one."""

    __tablename__ = "plan_files"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    digest: Mapped[str] = mapped_column(String(64), primary_key=True)
    """SHA-256 of `content`."""
    content: Mapped[bytes] = mapped_column(LargeBinary)
    added_at: Mapped[datetime] = mapped_column(Instant)


class PlanDraft(Base):
    """What a site is about to change in its plan: nothing of it holds until it is adopted. No record."""

    __tablename__ = "plan_drafts"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    changes: Mapped[str] = mapped_column(Text)
    """JSON object: what differs from the version `after`."""
    after: Mapped[int]
    """The version that was the newest when it was begun."""
    changed_by: Mapped[str] = mapped_column(String(64))
    changed_at: Mapped[datetime] = mapped_column(Instant)


class KeptPlan(Base):
    """The signed document of a version of the plan, written once and given out again byte for byte."""

    __tablename__ = "kept_plans"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    version: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    looks: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    """How many reassessments it tells of: after another one there is another document."""
    kitchen: Mapped[str] = mapped_column(String(64), primary_key=True, server_default="")
    """SHA-256 of what it says of the kitchen: with another address or person in charge there is another document."""
    sha256: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime] = mapped_column(Instant)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
