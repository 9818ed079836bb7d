"""A copy of a living archive in a folder, and a folder made an archive again.

The database is copied first and the photos after it: photos are only ever added,
so every one that the copied rows name is still there.  A backup is an archive like
any other, can be verified as such, and is brought up to date by another backup into
the same folder.
"""

import os
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

from app.archive.archive import DATABASE, KEY, PHOTOS, Archive
from app.archive.engine import is_server
from app.archive.exchange.moving import Copied, Tell, copy_archive, copy_photos
from app.archive.photos import PhotoFolder
from app.archive.sqlite import sqlite_engine
from app.errors import ArchiveError, UsageError

_UNDER_WAY = "archive.under-way"


def check_place(archive: Archive, folder: Path) -> None:
    """Refuse a folder that is no earlier backup of this archive and not empty.

    Raises
    ------
    UsageError
        Something else is in it, or it is the archive's own.
    """
    if archive.key_file.parent.resolve() == folder.resolve():
        msg = f"{folder} is the archive's own folder: back it up elsewhere, best on another disk"
        raise UsageError(msg)
    if folder.exists() and (not folder.is_dir() or not _may_hold(folder)):
        msg = f"{folder} holds something else: name a new folder, or that of an earlier backup"
        raise UsageError(msg)


def back_up(
    archive: Archive, folder: Path, *, with_key: bool, tell: Tell = lambda what, done, of: None
) -> Copied:
    """Copy an archive into a folder of its own; it may be in use meanwhile.

    Parameters
    ----------
    with_key : bool
        Whether the archive's private key goes along.  Without it a restored archive can be read and
        verified, and nothing can be entered until the key's file is put back.

    Raises
    ------
    UsageError
        See `check_place`.
    ArchiveError
        The folder cannot be used or is full, or the archive cannot be reached.
    """
    check_place(archive, folder)
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        under_way = folder / _UNDER_WAY
        under_way.unlink(missing_ok=True)
        photos = PhotoFolder(folder / PHOTOS)
        if is_server(archive.engine):
            done = _copied_rows(archive, under_way, photos, tell)
        else:
            done = _copied_file(archive, under_way, photos, tell)
        _put_in_place(under_way, folder / DATABASE)
        if with_key and archive.key_file.is_file():
            _copy_key(archive.key_file, folder / KEY)
    except (OSError, sqlite3.Error) as error:
        msg = (
            f"The backup into {folder} was not finished ({error}); an earlier one in it is still whole: "
            "see that there is room and try again."
        )
        raise ArchiveError(msg) from error
    return done


def _copied_file(archive: Archive, under_way: Path, photos: PhotoFolder, tell: Tell) -> Copied:
    """Copy a SQLite file through SQLite itself, which gives one consistent picture while others write."""
    file = archive.engine.url.database
    assert file is not None
    tell("database", 0, 1)
    with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(under_way)) as target:
        source.backup(target)
        # One file, without a log beside it; the archive's opening switches back.
        target.execute("PRAGMA journal_mode = DELETE")
        target.execute("DELETE FROM sessions")
        # A phone that was shut out after the backup must not come back with it.
        target.execute("DELETE FROM device_keys")
        target.commit()
    tell("database", 1, 1)
    done = Copied()
    engine = sqlite_engine(under_way)
    try:
        with engine.connect() as connection:
            copy_photos(connection, archive.photos, photos, done, tell)
    finally:
        engine.dispose()
    _as_one_file(under_way)
    return done


def _copied_rows(archive: Archive, under_way: Path, photos: PhotoFolder, tell: Tell) -> Copied:
    engine = sqlite_engine(under_way)
    try:
        done = copy_archive(archive, engine, photos, tell)
    finally:
        engine.dispose()
    _as_one_file(under_way)
    return done


def _as_one_file(file: Path) -> None:
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode = DELETE")


def _put_in_place(under_way: Path, database: Path) -> None:
    with under_way.open("rb") as file:
        os.fsync(file.fileno())
    # What an earlier backup's verification left beside it belongs to the earlier file.
    for ending in ("-wal", "-shm"):
        database.with_name(database.name + ending).unlink(missing_ok=True)
    under_way.replace(database)


def _copy_key(key: Path, to: Path) -> None:
    aside = to.with_name(f".{to.name}.under-way")
    aside.unlink(missing_ok=True)
    with os.fdopen(os.open(aside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(key.read_bytes())
        file.flush()
        os.fsync(file.fileno())
    shutil.move(aside, to)


def _may_hold(folder: Path) -> bool:
    names = {path.name for path in folder.iterdir()}
    ours = {DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm", PHOTOS, KEY, _UNDER_WAY}
    return names <= ours
