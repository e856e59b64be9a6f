"""By which clock a site shows its times, and in which scale its pads begin: two columns of its own."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_site_clock"
down_revision = "2026_11_29_site_address"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("sites", sa.Column("clock", sa.Integer(), nullable=True))
    op.add_column("sites", sa.Column("unit", sa.String(length=1), nullable=True))


def downgrade() -> None:
    op.drop_column("sites", "unit")
    op.drop_column("sites", "clock")
