"""The schema: brings a database to the newest migration."""

from pathlib import Path

from alembic import command
from alembic.config import Config

_MIGRATIONS = Path(__file__).parent.parent / "migrations"


def upgrade(url: str) -> None:
    """Bring the database at `url` to the newest migration; on one that is there already nothing changes."""
    command.upgrade(config_for(url), "head")


def config_for(url: str) -> Config:
    """Give Alembic's configuration for the database at `url`."""
    config = Config()
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    config.attributes["url"] = url
    return config
