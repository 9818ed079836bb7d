"""A whole archive copied into another database and another place for photos; the source is only read.

Photos go first, then all tables in one transaction, so that the new archive is
whole or empty.  A copy that was stopped is taken up where it was: photos that are
there are not sent again.
"""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Connection, Engine, Table, delete, insert, select

from app.archive import chain
from app.archive.archive import Archive
from app.archive.bucket import Access, PhotoBucket
from app.archive.engine import open_engine
from app.archive.exchange.told import deleted, named
from app.archive.failures import told
from app.archive.migrate import upgrade
from app.archive.photos import PhotoFolder
from app.archive.store import PhotoStore
from app.archive.tables import events, heads, metadata
from app.errors import ArchiveError, Conflict, NotFound
from app.inspection.ports import SystemClock

_NOT_MOVED = {"sessions", "wrong_tries", "device_keys"}
"""People sign in again at the new place."""

_ROWS = 500

Tell = Callable[[str, int, int], None]
"""Gets what is being copied, how many are done, of how many."""


@dataclass
class Copied:
    """What was copied; `missing` are photos that the source no longer has whole, with the reason."""

    photos: int = 0
    rows: int = 0
    was_there: bool = False
    missing: dict[str, str] = field(default_factory=dict)
    head: chain.Head = field(default=chain.Head(0, chain.GENESIS))


def copy_archive(
    source: Archive, engine: Engine, photos: PhotoStore, tell: Tell = lambda what, done, of: None
) -> Copied:
    """Copy everything but sessions.

    Parameters
    ----------
    source : Archive
        May be in use; what is entered after the beginning is not copied (compare `Copied.head`).
    engine : Engine
        The new database, empty or with this very archive in it.

    Raises
    ------
    Conflict
        There is another archive in the new database.
    ArchiveError
        One of the databases or places cannot be reached, or is full.
    """
    with told():
        upgrade(engine)
    done = Copied()
    with source.records.look() as r:
        done.head = chain.head(r.connection, chain.ARCHIVE)
        with told(), engine.connect() as connection:
            done.was_there = _is_there(r.connection, connection)
        copy_photos(r.connection, source.photos, photos, done, tell)
        if not done.was_there:
            with told(), engine.begin() as connection:
                done.rows = _copy_tables(r.connection, connection, tell)
    return done


def copy_photos(
    connection: Connection, source: PhotoStore, photos: PhotoStore, done: Copied, tell: Tell
) -> None:
    """Copy the photos that the rows of a database name and that are not there yet."""
    wanted = sorted(named(connection))
    gone = deleted(connection)
    for number, sha in enumerate(wanted, 1):
        if not photos.has(sha):
            try:
                photos.put(source.get(sha))
                done.photos += 1
            except NotFound:
                if sha not in gone:
                    done.missing[sha] = "the file is gone"
            except ArchiveError as error:
                if source.digest(sha) == sha:  # it is whole, so the new place is what failed
                    raise
                done.missing[sha] = str(error)
        tell("photos", number, len(wanted))


def _is_there(source: Connection, target: Connection) -> bool:
    here = list(target.execute(select(events.c.number).limit(1)))
    if not here:
        return False
    mine = chain.head(source, chain.ARCHIVE)
    if chain.head(target, chain.ARCHIVE) != mine:
        msg = (
            "The new database holds another archive, or this one as it was earlier or later: "
            "name an empty database."
        )
        raise Conflict(msg)
    return True


def _copy_tables(source: Connection, target: Connection, tell: Tell) -> int:
    rows = 0
    # An empty archive has a head already, for writers to wait for each other at.
    target.execute(delete(heads).where(heads.c.number == 0))
    tables = [table for table in metadata.sorted_tables if table.name not in _NOT_MOVED]
    for number, table in enumerate(tables, 1):
        for some in _in_pieces(source, table):
            target.execute(insert(table), some)
            rows += len(some)
        tell("tables", number, len(tables))
    return rows


def _in_pieces(source: Connection, table: Table) -> Iterator[list[dict[str, object]]]:
    found = source.execution_options(yield_per=_ROWS).execute(
        select(table).order_by(*table.primary_key.columns)
    )
    for some in found.mappings().partitions():
        yield [dict(row) for row in some]


@contextmanager
def open_target(source: Archive, database: str, photos: str, access: Access) -> Iterator[Archive]:
    """Open the new place, with the source's key file and without making a key of its own.

    Raises
    ------
    UsageError
        An address cannot be read.
    ArchiveError
        The database or the bucket cannot be reached.
    """
    store = PhotoBucket(photos, access) if photos.startswith("s3://") else PhotoFolder(Path(photos))
    target = Archive(open_engine(database, Path()), store, source.key_file, SystemClock())
    try:
        yield target
    finally:
        target.close()
