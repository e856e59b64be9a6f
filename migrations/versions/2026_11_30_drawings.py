"""Logs that are drawn outside the request that asks for them."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_drawings"
down_revision = "2026_11_30_password_again"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "drawings",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("through_seq", sa.Integer(), nullable=False),
        sa.Column("as_of", sa.BigInteger(), nullable=False),
        sa.Column("asked_at", sa.BigInteger(), nullable=False),
        sa.Column("is_made", sa.Boolean(), nullable=False),
        sa.Column("is_failed", sa.Boolean(), nullable=False),
        sa.Column("pdf", sa.LargeBinary(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_drawings_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_drawings")),
    )
    op.create_index(op.f("ix_drawings_asked_at"), "drawings", ["asked_at"])


def downgrade() -> None:
    op.drop_index(op.f("ix_drawings_asked_at"), table_name="drawings")
    op.drop_table("drawings")
