"""Figures of past days, kept so that trends need not assess a year again; what a bird that is thrown away costs."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_day_figures"
down_revision = "2026_11_25_sign_ins"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "day_figures",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("basis", sa.String(length=64), nullable=False),
        sa.Column("sums", sa.Text(), nullable=False),
        sa.Column("details", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("site_id", "day", name=op.f("pk_day_figures")),
    )
    op.create_table(
        "figures_marks",
        sa.Column("site_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("through_seq", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("site_id", name=op.f("pk_figures_marks")),
    )
    # Plain ADD COLUMN on both databases: nothing is rebuilt.
    op.add_column("sites", sa.Column("bird_cost", sa.Integer(), nullable=True))
    op.add_column("sites", sa.Column("bird_currency", sa.String(length=3), nullable=True))


def downgrade() -> None:
    op.drop_column("sites", "bird_currency")
    op.drop_column("sites", "bird_cost")
    op.drop_table("figures_marks")
    op.drop_table("day_figures")
