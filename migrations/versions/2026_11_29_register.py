"""The register's entries are found without going through the kitchen's: an index of its own."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_29_register"
down_revision = "2026_11_26_roles"
branch_labels = None
depends_on = None

_IN_REGISTER = sa.text(
    "kind IN ('site_set', 'plan_adopted', 'person_set', 'equipment_set', 'clock_set', 'credential_set')"
)


def upgrade() -> None:
    """Add the index: an index leaves the table and its triggers as they are."""
    op.create_index(
        "ix_entries_site_register",
        "entries",
        ["site_id", "seq"],
        sqlite_where=_IN_REGISTER,
        postgresql_where=_IN_REGISTER,
    )


def downgrade() -> None:
    """Take the index away."""
    op.drop_index("ix_entries_site_register", table_name="entries")
