"""The ledger only grows: the database itself refuses to change, remove or overwrite an entry, or to leave a gap."""

from alembic import op

revision = "2026_11_25_grows"
down_revision = "2026_11_25_tables"
branch_labels = None
depends_on = None

# INSERT OR REPLACE deletes the row in its way without firing DELETE triggers (unless recursive_triggers is on, which a
# stranger's connection need not have), so whatever could be in the way is refused before the insert: the same place in
# the chain, the same id, and on SQLite the same hidden rowid, which a client may name.
_SQLITE = (
    """
    CREATE TRIGGER entries_refuse_update BEFORE UPDATE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never changed'); END
    """,
    """
    CREATE TRIGGER entries_refuse_delete BEFORE DELETE ON entries
    BEGIN SELECT RAISE(ABORT, 'entries are never removed'); END
    """,
    """
    CREATE TRIGGER entries_refuse_overwriting BEFORE INSERT ON entries
    WHEN EXISTS (SELECT 1 FROM entries WHERE site_id = NEW.site_id AND seq >= NEW.seq)
      OR EXISTS (SELECT 1 FROM entries WHERE site_id = NEW.site_id AND id = NEW.id)
      OR EXISTS (SELECT 1 FROM entries WHERE rowid = NEW.rowid)
    BEGIN SELECT RAISE(ABORT, 'entries are never overwritten'); END
    """,
    """
    CREATE TRIGGER entries_follow_the_last BEFORE INSERT ON entries
    WHEN NEW.seq > 1 AND NOT EXISTS (
      SELECT 1 FROM entries WHERE site_id = NEW.site_id AND seq = NEW.seq - 1 AND hash = NEW.previous_hash
    )
    BEGIN SELECT RAISE(ABORT, 'an entry follows the last one'); END
    """,
)

# Statement triggers: they also fire where no row would be touched, and for INSERT ... ON CONFLICT DO UPDATE. What looks
# for the last entry is told to go along the primary key: planned on an empty table, it would go on reading it all.
_POSTGRESQL = (
    """
    CREATE FUNCTION refuse_change_of_entries() RETURNS trigger LANGUAGE plpgsql AS
    $$ BEGIN RAISE EXCEPTION 'entries are never changed or removed'; END $$
    """,
    """
    CREATE TRIGGER entries_refuse_change BEFORE UPDATE OR DELETE OR TRUNCATE ON entries
    FOR EACH STATEMENT EXECUTE FUNCTION refuse_change_of_entries()
    """,
    """
    CREATE FUNCTION refuse_gap_in_entries() RETURNS trigger LANGUAGE plpgsql
    SET enable_seqscan = off SET enable_sort = off AS
    $$
    DECLARE newest record;
    BEGIN
      SELECT seq, hash INTO newest FROM entries WHERE site_id = NEW.site_id ORDER BY seq DESC LIMIT 1;
      IF NEW.seq <> coalesce(newest.seq, 0) + 1 OR NEW.previous_hash <> coalesce(newest.hash, NEW.previous_hash) THEN
        RAISE EXCEPTION 'an entry follows the last one';
      END IF;
      RETURN NEW;
    END
    $$
    """,
    """
    CREATE TRIGGER entries_follow_the_last BEFORE INSERT ON entries
    FOR EACH ROW EXECUTE FUNCTION refuse_gap_in_entries()
    """,
)


def upgrade() -> None:
    """Add the triggers."""
    for statement in _SQLITE if op.get_bind().dialect.name == "sqlite" else _POSTGRESQL:
        op.execute(statement)


def downgrade() -> None:
    """Take the triggers away."""
    if op.get_bind().dialect.name == "sqlite":
        names = ("refuse_update", "refuse_delete", "refuse_overwriting", "follow_the_last")
        statements = [f"DROP TRIGGER entries_{name}" for name in names]
    else:
        statements = [f"DROP TRIGGER entries_{name} ON entries" for name in ("refuse_change", "follow_the_last")]
        statements += [f"DROP FUNCTION {name}()" for name in ("refuse_change_of_entries", "refuse_gap_in_entries")]
    for statement in statements:
        op.execute(statement)
