"""What is made from the entries for speed: each table can be thrown away and made again."""

from datetime import date, datetime

from sqlalchemy import Index, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class EntrySubject(Base):
    """Which entries name which subject, and what they move: an index made from the ledger, which can be made again.

    Every version of an entry stands under every subject that any of its versions names, so that whoever reads the
    history of one subject gets whole entries.
    """

    __tablename__ = "entry_subjects"
    __table_args__ = ({"sqlite_with_rowid": False},)
    site_id: Mapped[int] = mapped_column(primary_key=True)
    subject: Mapped[str] = mapped_column(Text, primary_key=True)
    """Kind and name, e.g. `tray:A-T1`, `spit:A-L1/2`; see `ledger/subjects.py` for all of them."""
    role: Mapped[str] = mapped_column(String(8), primary_key=True)
    """What this version does to the subject: open, fill, take, move, read; else empty. What moves birds is found
    without going through the readings."""
    observed_at: Mapped[datetime] = mapped_column(Instant, primary_key=True)
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    root_seq: Mapped[int]
    quarters: Mapped[int]
    """Birds in (positive) or out (negative) in quarters of a bird."""
    bird: Mapped[int]
    """The highest bird number that it speaks of; 0 for none."""
    newest: Mapped[bool]
    """Whether this version counts: no later one amends or withdraws it."""


class SubjectSpan(Base):
    """From when to when a load, tray, batch or reheat held birds: derived, can be thrown away and made again."""

    __tablename__ = "subject_spans"
    __table_args__ = (Index("ix_subject_spans_site_shown", "site_id", "shown_until"),)
    site_id: Mapped[int] = mapped_column(primary_key=True)
    subject: Mapped[str] = mapped_column(Text, primary_key=True)
    opened_at: Mapped[datetime] = mapped_column(Instant)
    """The earliest moment at which any version of any entry filled it."""
    shown_until: Mapped[datetime | None] = mapped_column(Instant)
    """None while it holds birds; else when it was emptied or, if later, `mended_until`."""
    mended_until: Mapped[datetime | None] = mapped_column(Instant)
    """Until when it was thought to hold birds before an entry about it was mended: days until then show it."""
    opened_seq: Mapped[int]
    last_seq: Mapped[int]
    """Seq of the last entry that moved its birds: for a view of the ledger as it was before, the span may differ."""


class KeptFigures(Base):
    """The figures of a business day that nothing but a new entry changes any more: derived, can be made again.

    They hold for the ledger up to the site's mark: what was written later is looked through before they are believed.
    """

    __tablename__ = "day_figures"
    site_id: Mapped[int] = mapped_column(primary_key=True)
    day: Mapped[date] = mapped_column(primary_key=True)
    basis: Mapped[str] = mapped_column(String(64))
    """SHA-256 of what the figures rest on besides the entries: plans and equipment of that day, and the rules."""
    sums: Mapped[str] = mapped_column(Text)
    details: Mapped[str] = mapped_column(Text)


class FiguresMark(Base):
    """Up to which entry the kept figures of a site were held against the ledger."""

    __tablename__ = "figures_marks"
    site_id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    through_seq: Mapped[int]
