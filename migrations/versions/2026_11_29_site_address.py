"""Where a kitchen is and by which permit it operates: two columns of its own."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_site_address"
down_revision = "2026_11_29_phrases"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("sites", sa.Column("address", sa.Text(), nullable=True))
    op.add_column("sites", sa.Column("permit", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("sites", "permit")
    op.drop_column("sites", "address")
