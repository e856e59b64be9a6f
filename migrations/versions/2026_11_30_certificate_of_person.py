"""The number of somebody's certificate, which the log prints beside who took charge."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_certificate_of_person"
down_revision = "2026_11_30_kept_plans"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("people", sa.Column("certificate", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("people", "certificate")
