"""When somebody last showed their password, and up to when they were told who set their password, PIN or role."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_password_again"
down_revision = "2026_11_29_kept_logs"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("sign_ins", sa.Column("password_at", sa.BigInteger(), nullable=True))
    op.add_column("people", sa.Column("told_at", sa.BigInteger(), nullable=True))


def downgrade() -> None:
    op.drop_column("people", "told_at")
    op.drop_column("sign_ins", "password_at")
