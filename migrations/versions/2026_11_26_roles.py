"""Roles come from one table of the program: the database no longer lists them, so a new role asks for no migration."""

import sqlalchemy as sa
from alembic import op

revision = "2026_11_26_roles"
down_revision = "2026_11_25_day_figures"
branch_labels = None
depends_on = None

_ROLES = "role IN ('cook', 'in_charge', 'inspector')"


def upgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        _rebuild()
    else:
        op.drop_constraint(op.f("ck_people_role"), "people")


def downgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        _rebuild(sa.CheckConstraint(_ROLES, name=op.f("ck_people_role")))
    else:
        op.create_check_constraint(op.f("ck_people_role"), "people", _ROLES)


def _rebuild(*constraints: sa.CheckConstraint) -> None:
    """Make the table of people anew: SQLite drops no constraint.

    Sign-ins and credentials refer to people, so those references are checked when the migration ends. By then everybody
    is back under their number; were somebody missing, nothing of this would be kept.
    """
    op.execute("PRAGMA defer_foreign_keys=ON")
    op.execute("CREATE TABLE people_kept AS SELECT * FROM people")
    op.drop_table("people")
    op.create_table(
        "people",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("site_id", sa.Integer(), nullable=False),
        sa.Column("login", sa.String(length=64), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=16), nullable=False),
        sa.Column("password_hash", sa.Text(), nullable=False),
        sa.Column("pin_hash", sa.Text(), nullable=True),
        sa.Column("language", sa.String(length=8), nullable=True),
        sa.Column("credentials_at", sa.BigInteger(), nullable=False),
        sa.Column("added_at", sa.BigInteger(), nullable=False),
        sa.Column("retired_at", sa.BigInteger(), nullable=True),
        *constraints,
        sa.ForeignKeyConstraint(["site_id"], ["sites.id"], name=op.f("fk_people_site_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_people")),
        sa.UniqueConstraint("site_id", "login", name=op.f("uq_people_site_id_login")),
    )
    op.execute("INSERT INTO people SELECT * FROM people_kept")
    op.drop_table("people_kept")
