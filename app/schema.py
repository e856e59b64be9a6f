"""The schema: brings a database to the newest migration."""

from functools import cache
from pathlib import Path
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory

_MIGRATIONS = Path(__file__).parent.parent / "migrations"


def upgrade(url: str) -> None:
    """Bring the database at `url` to the newest migration; on one that is there already nothing changes."""
    command.upgrade(config_for(url), "head")


def is_current(connection: Any) -> bool:
    """Whether a database has been brought to the newest migration that this program knows, and to no later one."""
    return MigrationContext.configure(connection).get_current_revision() == _newest()


@cache
def _newest() -> str | None:
    return ScriptDirectory(str(_MIGRATIONS)).get_current_head()


def guards(dialect: str) -> tuple[str, ...]:
    """Give the statements by which the migrations make a database (`sqlite` or `postgresql`) guard its entries."""
    module = ScriptDirectory(str(_MIGRATIONS)).get_revision("2026_11_25_grows").module
    statements: tuple[str, ...] = getattr(module, f"_{dialect.upper()}")
    return statements


def config_for(url: str) -> Config:
    """Give Alembic's configuration for the database at `url`."""
    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    config.attributes["url"] = url
    return config
