"""A kitchen, the phrases it offers to tap, and who gets its mail."""

from sqlalchemy import ForeignKey, String, Text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base


class Site(Base):
    """A kitchen with its own ledger, people, equipment and plan."""

    __tablename__ = "sites"
    id: Mapped[int] = mapped_column(primary_key=True)
    code: Mapped[str] = mapped_column(String(32), unique=True)
    name: Mapped[str] = mapped_column(Text)
    timezone: Mapped[str] = mapped_column(String(64))
    altitude_cm: Mapped[int | None]
    """Height above the sea in hundredths of a metre."""
    bird_cost: Mapped[int | None]
    """What a bird that is thrown away costs, in hundredths of `bird_currency`; None until somebody says so."""
    bird_currency: Mapped[str | None] = mapped_column(String(3))
    """ISO 4217: `USD`."""
    address: Mapped[str | None] = mapped_column(Text)
    """Street and town, as the printed log and the plan have it; None until somebody says so."""
    permit: Mapped[str | None] = mapped_column(Text)
    """The number of the permit to operate, as it was written down."""
    skipped: Mapped[str | None] = mapped_column(Text)
    """Steps of the first day that were skipped, with blanks between; no record."""
    clock: Mapped[int | None]
    """Hours of the clock that times are shown by, 12 or 24; None until somebody says so: 24."""
    unit: Mapped[str | None] = mapped_column(String(1))
    """The scale that a pad begins with, F or C; None until somebody says so."""
    alarm_mail_min: Mapped[int | None]
    """After how many minutes a mail says what is overdue; None: none is sent. No record."""


class Phrases(Base):
    """What a site offers to tap in the corrective action of one rule; without a row the usual phrases. No record."""

    __tablename__ = "phrases"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    rule: Mapped[str] = mapped_column(String(64), primary_key=True)
    cause: Mapped[str] = mapped_column(Text)
    """One phrase a line, as in the next two."""
    action: Mapped[str] = mapped_column(Text)
    prevention: Mapped[str] = mapped_column(Text)


class MailAddress(Base):
    """Who gets which mail from a site. No record: what was sent says nothing about food."""

    __tablename__ = "mail_addresses"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    address: Mapped[str] = mapped_column(String(254), primary_key=True)
    alarms: Mapped[bool]
    """What is overdue for longer than the site set."""
    logs: Mapped[bool]
    """The log of each day once it is signed."""
    heads: Mapped[bool]
    """The head of the ledger at each signature: a witness outside the house."""
