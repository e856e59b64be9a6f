"""The phrases that a site offers for corrective actions: a list to choose from, no record."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_phrases"
down_revision = "2026_11_29_register"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "phrases",
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("rule", sa.String(length=64), nullable=False),
        sa.Column("cause", sa.Text(), nullable=False),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("prevention", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_phrases_site_id")),
        sa.PrimaryKeyConstraint("site_id", "rule", name=op.f("pk_phrases")),
    )


def downgrade() -> None:
    op.drop_table("phrases")
