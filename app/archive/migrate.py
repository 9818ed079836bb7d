"""Brings an archive's schema to this program's revision."""

from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine

from app.archive.engine import prepare_opening
from app.errors import ArchiveError

_MIGRATIONS = Path(__file__).resolve().parent / "migrations"


def upgrade(engine: Engine, revision: str = "head") -> None:
    """Run what is missing, in one transaction; two programs that open at once wait for each other.

    Raises
    ------
    ArchiveError
        The archive was written by a newer program, or the database's server cannot be relied on.
    """
    with engine.begin() as connection:
        prepare_opening(connection)
        config = _config(connection)
        there = MigrationContext.configure(connection).get_current_revision()
        if revision == "head" and there == ScriptDirectory.from_config(config).get_current_head():
            return
        try:
            command.upgrade(config, revision)
        except CommandError as error:
            msg = (
                f"The archive is of revision {there}, which this program does not know: use a newer program."
            )
            raise ArchiveError(msg) from error


def _config(connection: Connection) -> Config:
    config = Config()
    # A percent sign would begin an interpolation.
    config.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config
