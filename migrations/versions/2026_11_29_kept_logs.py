"""Signed logs are kept: their files, the certificates that sign them, and what a time-stamp service said of heads."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_kept_logs"
down_revision = "2026_11_30_jobs_and_mail"
branch_labels = None
depends_on = None

_INDEX = "ix_entries_site_register"
_BEFORE = "kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set', 'clock_set', 'credential_set')"
_SINCE = (
    "kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set', 'clock_set', 'credential_set', "
    "'certificate_set', 'log_kept')"
)


def upgrade() -> None:
    _index_register(_SINCE)
    op.create_table(
        "certificates",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("der", sa.LargeBinary(), nullable=False),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.Column("until", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_certificates_site_id")),
        sa.PrimaryKeyConstraint("site_id", "fingerprint", name=op.f("pk_certificates")),
    )
    op.create_table(
        "signing_keys",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("fingerprint", sa.String(length=64), nullable=False),
        sa.Column("locked", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_signing_keys_site_id")),
        sa.PrimaryKeyConstraint("site_id", "fingerprint", name=op.f("pk_signing_keys")),
    )
    op.create_table(
        "kept_logs",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("signed_seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("covers_seq", sa.Integer(), nullable=False),
        sa.Column("after_seq", sa.Integer(), nullable=False),
        sa.Column("kept_seq", sa.Integer(), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_kept_logs_site_id")),
        sa.PrimaryKeyConstraint("site_id", "signed_seq", name=op.f("pk_kept_logs")),
    )
    op.create_index("ix_kept_logs_site_day", "kept_logs", ["site_id", "day"])
    op.create_index(op.f("ix_kept_logs_sha256"), "kept_logs", ["sha256"])
    op.create_table(
        "head_stamps",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("token", sa.LargeBinary(), nullable=False),
        sa.Column("stamped_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_head_stamps_site_id")),
        sa.PrimaryKeyConstraint("site_id", "seq", name=op.f("pk_head_stamps")),
    )


def downgrade() -> None:
    for table in ("head_stamps", "kept_logs", "signing_keys", "certificates"):
        op.drop_table(table)
    _index_register(_BEFORE)


def _index_register(kinds: str) -> None:
    """Make the index of the register's entries anew: an index leaves the table and its triggers as they are."""
    op.drop_index(_INDEX, table_name="entries")
    condition = sa.text(kinds)
    op.create_index(_INDEX, "entries", ["site_id", "seq"], sqlite_where=condition, postgresql_where=condition)
