"""What a change of the plan would have changed, counted outside the request that asks for it."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_plan_effects"
down_revision = "2026_11_30_kept_plans_by_kitchen"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plan_effects",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("change", sa.Text(), nullable=False),
        sa.Column("through_seq", sa.Integer(), nullable=False),
        sa.Column("as_of", sa.BigInteger(), nullable=False),
        sa.Column("moved_at", sa.BigInteger(), nullable=False),
        sa.Column("days", sa.Integer(), nullable=False),
        sa.Column("found", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_plan_effects_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan_effects")),
    )
    op.create_index(op.f("ix_plan_effects_moved_at"), "plan_effects", ["moved_at"])


def downgrade() -> None:
    op.drop_index(op.f("ix_plan_effects_moved_at"), table_name="plan_effects")
    op.drop_table("plan_effects")
