"""A database in one file, set up so that what is committed survives a crash."""

import sqlite3
import time
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event

from app.archive import failures

LOOKS = "gearwitness_looks"
"""The execution option of transactions that only look."""


def sqlite_engine(path: Path) -> Engine:
    """Return an engine on a SQLite file.

    Write-ahead log (who looks never waits for who writes), every commit synced to
    the disc, foreign keys enforced, one writer at a time from its first statement on.
    """
    # Threads of the server share the pool; one that looks up a person amid a look holds two connections,
    # so a limit could make all of them wait for each other.
    engine = create_engine(f"sqlite:///{path}", connect_args={"check_same_thread": False}, max_overflow=-1)

    @event.listens_for(engine, "connect")
    def set_up(connection: sqlite3.Connection, _record: Any) -> None:
        # The driver must not begin transactions by itself: `begin` below does.
        connection.isolation_level = None
        connection.execute(f"PRAGMA busy_timeout = {failures.BUSY_MS}")
        _use_write_ahead_log(connection)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")

    @event.listens_for(engine, "begin")
    def begin(connection: Connection) -> None:
        # A transaction that looks first and writes later would fail where another one wrote between.
        looks = connection.get_execution_options().get(LOOKS, False)
        connection.exec_driver_sql("BEGIN" if looks else "BEGIN IMMEDIATE")

    return engine


def _use_write_ahead_log(connection: sqlite3.Connection) -> None:
    """Switch to the log; of two that open a new file at once SQLite lets one fail without waiting."""
    ends = time.monotonic() + failures.BUSY_MS / 1000
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
        except sqlite3.OperationalError as error:
            is_busy = getattr(error, "sqlite_errorname", "").startswith(("SQLITE_BUSY", "SQLITE_LOCKED"))
            if not is_busy or time.monotonic() > ends:
                raise
            time.sleep(0.01)
        else:
            return
