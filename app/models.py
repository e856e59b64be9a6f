"""The tables: sites, people, equipment, plans, credentials, and the ledger's entries."""

from datetime import date, datetime

from sqlalchemy import CheckConstraint, ForeignKey, Index, LargeBinary, String, Text, UniqueConstraint, text
from sqlalchemy.orm import Mapped, mapped_column

from app.db import Base, Instant

IN_REGISTER = (
    "kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set', 'clock_set', 'credential_set', "
    "'certificate_set', 'log_kept')"
)
"""Which entries are of the register: written out, as the database compares it with the condition of its index."""


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
    sha256: Mapped[str] = mapped_column(String(64))
    made_at: Mapped[datetime] = mapped_column(Instant)
    pdf: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)


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


class WriteCheck(Base):
    """One row that the health check writes to see whether an entry would be kept."""

    __tablename__ = "write_checks"
    id: Mapped[int] = mapped_column(primary_key=True, autoincrement=False)
    at: Mapped[datetime] = mapped_column(Instant)
    padding: Mapped[bytes] = mapped_column(LargeBinary, deferred=True)
    """As many bytes as several entries take, where the disk is nearly full: else a smaller row might still fit."""


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
