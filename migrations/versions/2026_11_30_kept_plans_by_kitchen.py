"""The signed document of a version is kept anew when what it says of the kitchen changes."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_30_kept_plans_by_kitchen"
down_revision = "2026_11_30_certificate_of_person"
branch_labels = None
depends_on = None

_KEY = ["site_id", "version", "looks"]


def upgrade() -> None:
    with op.batch_alter_table("kept_plans") as table:
        table.add_column(sa.Column("kitchen", sa.String(length=64), server_default="", nullable=False))
        table.drop_constraint("pk_kept_plans", type_="primary")
        table.create_primary_key(op.f("pk_kept_plans"), [*_KEY, "kitchen"])


def downgrade() -> None:
    # Of several documents of one version the newest stays.
    op.execute(
        "DELETE FROM kept_plans WHERE EXISTS (SELECT 1 FROM kept_plans AS later"
        " WHERE later.site_id = kept_plans.site_id AND later.version = kept_plans.version"
        " AND later.looks = kept_plans.looks"
        " AND (later.made_at, later.kitchen) > (kept_plans.made_at, kept_plans.kitchen))"
    )
    with op.batch_alter_table("kept_plans") as table:
        table.drop_constraint("pk_kept_plans", type_="primary")
        table.create_primary_key(op.f("pk_kept_plans"), _KEY)
        table.drop_column("kitchen")
