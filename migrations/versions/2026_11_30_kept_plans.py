"""The signed document of each version of the plan is kept."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_kept_plans"
down_revision = "2026_11_30_inspection_links"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "kept_plans",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("version", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("looks", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_kept_plans_site_id")),
        sa.PrimaryKeyConstraint("site_id", "version", "looks", name=op.f("pk_kept_plans")),
    )


def downgrade() -> None:
    op.drop_table("kept_plans")
