"""The connection to the database: the only place that knows which one it is."""

from pathlib import Path

from sqlalchemy import Connection, Engine, text

from app.archive.postgres import check_server, postgres_engine
from app.archive.sqlite import LOOKS, sqlite_engine

_OPENING = 0x6765617277  # one number for all who bring a schema up to date


def open_engine(address: str, file: Path) -> Engine:
    """Return an engine on the database at an address, or, where that is empty, in a file.

    Raises
    ------
    UsageError, ArchiveError
        See `postgres_engine`.
    """
    return postgres_engine(address) if address else sqlite_engine(file)


def is_server(engine: Engine) -> bool:
    """Tell whether this is a PostgreSQL server, else it is a SQLite file."""
    return engine.dialect.name == "postgresql"


def prepare_opening(connection: Connection) -> None:
    """Check the server, and let one program at a time bring the schema up to date; SQLite does by itself."""
    if is_server(connection.engine):
        check_server(connection)
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": _OPENING})


def looking(engine: Engine) -> Engine:
    """Return the same engine for transactions that only look, each at one consistent picture."""
    if is_server(engine):
        return engine.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
    return engine.execution_options(**{LOOKS: True})
