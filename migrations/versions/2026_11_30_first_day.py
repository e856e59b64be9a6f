"""A new kitchen's first day: the link that opens its set-up, and the steps that were skipped."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_first_day"
down_revision = "2026_11_30_write_checks"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "set_up_links",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("used_at", sa.BigInteger(), nullable=True),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_set_up_links")),
    )
    op.add_column("sites", sa.Column("skipped", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("sites", "skipped")
    op.drop_table("set_up_links")
