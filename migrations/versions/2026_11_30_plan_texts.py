"""What a kitchen writes into its plan itself: the files that belong to it, and a draft of the next version."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_plan_texts"
down_revision = "2026_11_30_alarm_mail"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plan_files",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_plan_files_site_id")),
        sa.PrimaryKeyConstraint("site_id", "digest", name=op.f("pk_plan_files")),
    )
    op.create_table(
        "plan_drafts",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("changes", sa.Text(), nullable=False),
        sa.Column("after", sa.Integer(), nullable=False),
        sa.Column("changed_by", sa.String(length=64), nullable=False),
        sa.Column("changed_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_plan_drafts_site_id")),
        sa.PrimaryKeyConstraint("site_id", name=op.f("pk_plan_drafts")),
    )


def downgrade() -> None:
    op.drop_table("plan_drafts")
    op.drop_table("plan_files")
