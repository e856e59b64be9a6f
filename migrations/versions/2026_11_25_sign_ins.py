"""Sign-ins that go on, so that signing out ends one wherever its cookie was copied to."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_25_sign_ins"
down_revision = "2026_11_25_grows"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sign_ins",
        sa.Column("digest", sa.String(length=64), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("started_at", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["people.id"], name=op.f("fk_sign_ins_person_id")),
        sa.PrimaryKeyConstraint("digest", name=op.f("pk_sign_ins")),
    )
    op.create_index(op.f("ix_sign_ins_started_at"), "sign_ins", ["started_at"])


def downgrade() -> None:
    op.drop_table("sign_ins")
