"""The records in the database: the port `app.inspection.ports.Records`."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, update

from app.archive import chain, rows
from app.archive.engine import looking
from app.archive.failures import told
from app.archive.keys import Signer
from app.archive.tables import tries
from app.errors import NotFound
from app.inspection.model import Person
from app.inspection.ports import Clock, Reader, Records, Work

T = TypeVar("T")


class SqlReader(Reader):
    """A look through one transaction."""

    def __init__(self, connection: Connection) -> None:
        self.connection = connection

    def get(self, kind: type[T], id_: str, /) -> T:
        """Return the entry of this kind with this id, or raise NotFound."""
        found = rows.found(self.connection, kind, {"id": id_})
        if not found:
            msg = f"There is nothing here with the id {id_[:40]!r}: open it from the list again."
            raise NotFound(msg)
        return found[0]

    def all(self, kind: type[T], /, **equal: Any) -> tuple[T, ...]:
        """Return the entries whose named fields equal these values."""
        return rows.found(self.connection, kind, equal)


class SqlWork(SqlReader, Work):
    """A transaction that writes."""

    def __init__(self, connection: Connection, clock: Clock) -> None:
        super().__init__(connection)
        self._clock = clock
        self.touched: set[str] = set()

    def enter(
        self,
        kind: str,
        by: Person | None,
        inspection_id: str | None,
        *rows_: Any,
        data: Mapping[str, Any] | None = None,
    ) -> str:
        """Append one event and write the entries that it creates or changes; return the event's hash."""
        holds = dict(data or {})
        if rows_:
            holds["rows"] = [rows.write(self.connection, one) for one in rows_]
        by_id = None if by is None else by.id
        body = chain.body_of(kind, self._clock.now(), by_id, inspection_id, holds)
        if inspection_id is not None:
            self.touched.add(inspection_id)
        return chain.append(self.connection, inspection_id or chain.ARCHIVE, body)

    def progress(self, try_id: str, stage: str) -> None:
        """Write how far the measuring of a try is."""
        self.connection.execute(update(tries).where(tries.c.id == try_id).values(stage=stage))


class SqlRecords(Records):
    """Records in a database.

    Parameters
    ----------
    clock : Clock
        Tells when an event was entered.

    Attributes
    ----------
    signer : Signer or None
        The archive's key; without it nothing can be entered.
    """

    def __init__(self, engine: Engine, clock: Clock) -> None:
        self._engine = engine
        self._looking = looking(engine)
        self._clock = clock
        self.signer: Signer | None = None

    @contextmanager
    def begin(self) -> Iterator[SqlWork]:
        """Begin a change; committed when the block ends without an error.

        Raises
        ------
        Conflict
            A constraint allows one only, and somebody else was first.
        ArchiveError
            Others have been writing for too long, the database cannot be written or
            reached, or the archive's key is not here.
        """
        with told() as phase, self._engine.begin() as connection:
            chain.lock(connection)
            before = chain.head(connection, chain.ARCHIVE)
            work = SqlWork(connection, self._clock)
            yield work
            chain.enter_heads(connection, work.touched, self._clock.now())
            chain.sign_head(connection, self.signer, before)
            phase.committing = True

    @contextmanager
    def aside(self) -> Iterator[Connection]:
        """Begin a change of what is no record (sessions, wrong tries): no event tells of it."""
        with told() as phase, self._engine.begin() as connection:
            yield connection
            phase.committing = True

    @contextmanager
    def look(self) -> Iterator[SqlReader]:
        """Begin a consistent look.

        Raises
        ------
        ArchiveError
            The database cannot be reached or read.
        """
        with told(), self._looking.connect() as connection, connection.begin():
            yield SqlReader(connection)
