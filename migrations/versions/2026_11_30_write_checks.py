"""One row that the health check writes to see whether an entry would be kept."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_write_checks"
down_revision = "2026_11_30_plan_texts"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "write_checks",
        sa.Column("id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("padding", sa.LargeBinary(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_write_checks")),
    )


def downgrade() -> None:
    op.drop_table("write_checks")
