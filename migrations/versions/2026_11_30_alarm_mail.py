"""After how many minutes a site's mail says what is overdue: a column of its own."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_alarm_mail"
down_revision = "2026_11_30_drawings"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("sites", sa.Column("alarm_mail_min", sa.Integer(), nullable=True))


def downgrade() -> None:
    op.drop_column("sites", "alarm_mail_min")
