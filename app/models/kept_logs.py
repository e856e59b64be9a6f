"""Signed logs as they were given out, the certificates and keys that sign, and time stamps."""

from datetime import date, datetime

from sqlalchemy import ForeignKey, Index, LargeBinary, String
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant


class Certificate(Base):
    """A certificate that signs, or signed, a site's logs. It is public; its key is not here."""

    __tablename__ = "certificates"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    fingerprint: Mapped[str] = mapped_column(String(64), primary_key=True)
    """SHA-256 of `der`."""
    der: Mapped[bytes] = mapped_column(LargeBinary)
    added_at: Mapped[datetime] = mapped_column(Instant)
    until: Mapped[datetime] = mapped_column(Instant)


class SigningKey(Base):
    """The private key of a site's own certificate, locked with a passphrase that is no part of this database.

    Left out of every backup. An operator's own certificate has its key in the operator's file, and none here.
    """

    __tablename__ = "signing_keys"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    fingerprint: Mapped[str] = mapped_column(String(64), primary_key=True)
    locked: Mapped[bytes] = mapped_column(LargeBinary)
    """PKCS #8, encrypted, in PEM."""


class KeptLog(Base):
    """The signed log of a day, written once and given out again byte for byte; its SHA-256 is in the ledger, too."""

    __tablename__ = "kept_logs"
    __table_args__ = (Index("ix_kept_logs_site_day", "site_id", "day"),)
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    signed_seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    """Seq of the sign-off that it prints: a day signed again has another log."""
    day: Mapped[date]
    covers_seq: Mapped[int]
    """The head that was signed."""
    after_seq: Mapped[int]
    """The head up to which an earlier kept log proves the ledger: its run begins with the next entry."""
    kept_seq: Mapped[int]
    """Seq of the `log_kept` entry that holds its SHA-256."""
    sha256: Mapped[str] = mapped_column(String(64), index=True)
    made_at: Mapped[datetime] = mapped_column(Instant)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)


class HeadStamp(Base):
    """What a time-stamp service said of a signed head: that this entry's bytes were there at that moment (RFC 3161)."""

    __tablename__ = "head_stamps"
    site_id: Mapped[int] = mapped_column(ForeignKey("sites.id"), primary_key=True)
    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    token: Mapped[bytes] = mapped_column(LargeBinary)
    stamped_at: Mapped[datetime] = mapped_column(Instant)
