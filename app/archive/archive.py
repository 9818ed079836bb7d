"""An archive opened: database, photos and people together."""

from pathlib import Path
from types import TracebackType

from app.archive.engine import looking, sqlite_engine
from app.archive.migrate import upgrade
from app.archive.people import SqlPeople
from app.archive.photos import PhotoFolder
from app.archive.records import SqlRecords
from app.archive.verify import Verification, verify
from app.errors import ArchiveError
from app.inspection.ports import Clock, SystemClock

DATABASE, PHOTOS = "archive.sqlite3", "photos"


class Archive:
    """What `open_archive` returns; close it when it is no longer needed.

    Attributes
    ----------
    records : SqlRecords
        The port `app.inspection.ports.Records`.
    photos : PhotoFolder
        The port `app.inspection.ports.Photos`.
    people : SqlPeople
        The port `app.people.ports.PeopleStore`.
    """

    def __init__(self, home: Path, clock: Clock) -> None:
        self._engine = sqlite_engine(home / DATABASE)
        try:
            upgrade(self._engine)
        except BaseException:
            self.close()
            raise
        self.records = SqlRecords(self._engine, clock)
        self.photos = PhotoFolder(home / PHOTOS)
        self.people = SqlPeople(self._engine, self.records)

    def verify(self) -> Verification:
        """Return everything that is not as it was entered."""
        with looking(self._engine).connect() as connection, connection.begin():
            return verify(connection, self.photos)

    def close(self) -> None:
        """Close all connections to the database."""
        self._engine.dispose()

    def __enter__(self) -> "Archive":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_archive(home: Path, clock: Clock | None = None) -> Archive:
    """Open the archive in a folder; makes it where there is none, and brings an older one up to date.

    Parameters
    ----------
    home : Path
        The folder; nobody but its owner may look into a new one.

    Raises
    ------
    ArchiveError
        The folder cannot be used, or a newer program wrote the archive.
    """
    try:
        home.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        msg = (
            f"The archive's folder {home} cannot be made ({error.strerror}): name one that can be written to."
        )
        raise ArchiveError(msg) from error
    return Archive(home, clock or SystemClock())
