"""The ledger's entries: the one table that is never changed."""

from datetime import datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, LargeBinary, String, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant

IN_REGISTER = (
    "kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set', 'clock_set', 'credential_set', "
    "'certificate_set', 'log_kept')"
)
"""Which entries are of the register: written out, as the database compares it with the condition of its index."""


class Entry(Base):
    """One row of the ledger. The database itself refuses to change, remove or overwrite it (see the migrations)."""

    __tablename__ = "entries"
    __table_args__ = (
        UniqueConstraint("site_id", "id"),
        CheckConstraint("seq >= 1", name="seq"),
        Index("ix_entries_site_observed", "site_id", "observed_at"),
        Index(
            "ix_entries_site_root",
            "site_id",
            "root_seq",
            sqlite_where=text("root_seq <> seq"),
            postgresql_where=text("root_seq <> seq"),
        ),
        Index(
            "ix_entries_site_register",
            "site_id",
            "seq",
            sqlite_where=text(IN_REGISTER),
            postgresql_where=text(IN_REGISTER),
        ),
    )
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    id: Mapped[str] = mapped_column(String(36))
    kind: Mapped[str] = mapped_column(String(32))
    observed_at: Mapped[datetime] = mapped_column(Instant)
    recorded_at: Mapped[datetime] = mapped_column(Instant)
    person: Mapped[str] = mapped_column(String(64))
    root_seq: Mapped[int]
    """Seq of the first version of this entry (its own, unless it amends). Only later versions are indexed by it."""
    previous_hash: Mapped[str] = mapped_column(String(64))
    hash: Mapped[str] = mapped_column(String(64))
    body: Mapped[bytes] = mapped_column(LargeBinary)
    """The exact bytes that were hashed (RFC 8785, UTF-8)."""
