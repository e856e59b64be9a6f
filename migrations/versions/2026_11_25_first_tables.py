"""The first tables: a site's register, its ledger, and what is kept beside the ledger for speed."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_tables"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "entry_subjects",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=8), nullable=False),
        sa.Column("observed_at", sa.BigInteger(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("root_seq", sa.Integer(), nullable=False),
        sa.Column("quarters", sa.Integer(), nullable=False),
        sa.Column("bird", sa.Integer(), nullable=False),
        sa.Column("newest", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("site_id", "subject", "role", "observed_at", "seq", name=op.f("pk_entry_subjects")),
        sqlite_with_rowid=False,
    )
    op.create_table(
        "sites",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=32), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("timezone", sa.String(length=64), nullable=False),
        sa.Column("altitude_cm", sa.Integer(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sites")),
        sa.UniqueConstraint("code", name=op.f("uq_sites_code")),
    )
    op.create_table(
        "subject_spans",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("subject", sa.Text(), nullable=False),
        sa.Column("opened_at", sa.BigInteger(), nullable=False),
        sa.Column("shown_until", sa.BigInteger(), nullable=True),
        sa.Column("mended_until", sa.BigInteger(), nullable=True),
        sa.Column("opened_seq", sa.Integer(), nullable=False),
        sa.Column("last_seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("site_id", "subject", name=op.f("pk_subject_spans")),
    )
    op.create_index("ix_subject_spans_site_shown", "subject_spans", ["site_id", "shown_until"], unique=False)
    op.create_table(
        "throttles",
        sa.Column("key", sa.String(length=128), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("first_at", sa.BigInteger(), nullable=False),
        sa.Column("last_at", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_throttles")),
    )
    op.create_table(
        "entries",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("seq", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("observed_at", sa.BigInteger(), nullable=False),
        sa.Column("recorded_at", sa.BigInteger(), nullable=False),
        sa.Column("person", sa.String(length=64), nullable=False),
        sa.Column("root_seq", sa.Integer(), nullable=False),
        sa.Column("previous_hash", sa.String(length=64), nullable=False),
        sa.Column("hash", sa.String(length=64), nullable=False),
        sa.Column("body", sa.LargeBinary(), nullable=False),
        sa.CheckConstraint("seq >= 1", name=op.f("ck_entries_seq")),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_entries_site_id")),
        sa.PrimaryKeyConstraint("site_id", "seq", name=op.f("pk_entries")),
        sa.UniqueConstraint("site_id", "id", name=op.f("uq_entries_site_id_id")),
    )
    op.create_index("ix_entries_site_observed", "entries", ["site_id", "observed_at"], unique=False)
    op.create_index(
        "ix_entries_site_root",
        "entries",
        ["site_id", "root_seq"],
        unique=False,
        sqlite_where=sa.text("root_seq <> seq"),
        postgresql_where=sa.text("root_seq <> seq"),
    )
    op.create_table(
        "equipment",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=32), nullable=False),
        sa.Column("kind", sa.String(length=16), nullable=False),
        sa.Column("scale", sa.String(length=4), nullable=True),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.Column("retired_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("kind IN ('oven', 'hot_unit', 'cold_unit', 'probe')", name=op.f("ck_equipment_kind")),
        sa.CheckConstraint("scale IN ('F', 'C', 'dual')", name=op.f("ck_equipment_scale")),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_equipment_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_equipment")),
        sa.UniqueConstraint("site_id", "code", name=op.f("uq_equipment_site_id_code")),
    )
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("login", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=True),
        sa.Column("language", sa.String(length=8), nullable=True),
        sa.Column("credentials_at", sa.BigInteger(), nullable=False),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.Column("retired_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("role IN ('cook', 'in_charge', 'inspector')", name=op.f("ck_people_role")),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_people_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("site_id", "login", name=op.f("uq_people_site_id_login")),
    )
    op.create_table(
        "plans",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("code", sa.String(length=64), nullable=False),
        sa.Column("settings", sa.Text(), nullable=False),
        sa.Column("variance", sa.Text(), nullable=True),
        sa.Column("authority", sa.Text(), nullable=True),
        sa.Column("adopted_by", sa.String(length=64), nullable=False),
        sa.Column("adopted_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_plans_site_id")),
        sa.PrimaryKeyConstraint("site_id", "version", name=op.f("pk_plans")),
    )
    op.create_table(
        "credentials",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("tablet", sa.String(length=32), nullable=True),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=True),
        sa.Column("revoked_at", sa.BigInteger(), nullable=True),
        sa.CheckConstraint("(person_id IS NULL) <> (tablet IS NULL)", name=op.f("ck_credentials_holder")),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_credentials_person_id")),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_credentials_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_credentials")),
        sa.UniqueConstraint("digest", name=op.f("uq_credentials_digest")),
    )


def downgrade() -> None:
    op.drop_table("credentials")
    op.drop_table("plans")
    op.drop_table("people")
    op.drop_table("equipment")
    op.drop_index(
        "ix_entries_site_root",
        table_name="entries",
        sqlite_where=sa.text("root_seq <> seq"),
        postgresql_where=sa.text("root_seq <> seq"),
    )
    op.drop_index("ix_entries_site_observed", table_name="entries")
    op.drop_table("entries")
    op.drop_table("throttles")
    op.drop_index("ix_subject_spans_site_shown", table_name="subject_spans")
    op.drop_table("subject_spans")
    op.drop_table("sites")
    op.drop_table("entry_subjects")
