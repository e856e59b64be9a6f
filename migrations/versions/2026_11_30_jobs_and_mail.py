"""Work outside a request, and the addresses that get mail from a site."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_jobs_and_mail"
down_revision = "2026_11_29_site_clock"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "jobs",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("kind", sa.String(length=32), nullable=False),
        sa.Column("key", sa.String(length=200), nullable=False),
        sa.Column("payload", sa.Text(), nullable=False),
        sa.Column("asked_at", sa.BigInteger(), nullable=False),
        sa.Column("due_at", sa.BigInteger(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("error", sa.Text(), nullable=True),
        sa.Column("done_at", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_jobs")),
        sa.UniqueConstraint("kind", "key", name=op.f("uq_jobs_kind_key")),
    )
    op.create_index(op.f("ix_jobs_due_at"), "jobs", ["due_at"])
    op.create_table(
        "mail_addresses",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(length=254), nullable=False),
        sa.Column("alarms", sa.Boolean(), nullable=False),
        sa.Column("logs", sa.Boolean(), nullable=False),
        sa.Column("heads", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_mail_addresses_site_id")),
        sa.PrimaryKeyConstraint("site_id", "address", name=op.f("pk_mail_addresses")),
    )


def downgrade() -> None:
    op.drop_table("mail_addresses")
    op.drop_table("jobs")
