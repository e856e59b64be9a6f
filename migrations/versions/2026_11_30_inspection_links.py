"""Links for an inspector at the door, and every use of one."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_inspection_links"
down_revision = "2026_11_30_first_day"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "inspection_links",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("whom", sa.Text(), nullable=False),
        sa.Column("made_by", sa.String(length=64), nullable=False),
        sa.Column("made_at", sa.BigInteger(), nullable=False),
        sa.Column("first", sa.Date(), nullable=False),
        sa.Column("last", sa.Date(), nullable=False),
        sa.Column("expires_at", sa.BigInteger(), nullable=False),
        sa.Column("revoked_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_inspection_links_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inspection_links")),
        sa.UniqueConstraint("digest", name=op.f("uq_inspection_links_digest")),
    )
    op.create_table(
        "inspection_uses",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("link_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("shown", sa.String(length=64), nullable=False),
        sa.Column("address", sa.String(length=64), nullable=False),
        sa.ForeignKeyConstraint(["link_id"], ["inspection_links.id"], name=op.f("fk_inspection_uses_link_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inspection_uses")),
    )
    op.create_index(op.f("ix_inspection_uses_link_id"), "inspection_uses", ["link_id"])


def downgrade() -> None:
    op.drop_table("inspection_uses")
    op.drop_table("inspection_links")
