"""Persons, password hashes, sessions and wrong tries in the database: the port `PeopleStore`."""

from collections.abc import Callable
from datetime import datetime, timedelta

from sqlalchemy import delete, insert, select, update

from app.archive import rows
from app.archive.devices import SqlDevices
from app.archive.links import SqlLinks
from app.archive.records import SqlRecords
from app.archive.tables import persons, sessions, sign_ins, wrong_tries
from app.errors import Conflict, NotFound
from app.inspection.model import Person
from app.inspection.rounds.model import PasswordReset
from app.people.ports import PeopleStore

_FORGOTTEN = timedelta(days=1)


class SqlPeople(SqlDevices, SqlLinks, PeopleStore):
    """People in the same database as the records, so that the records can refer to them."""

    def __init__(self, records: SqlRecords) -> None:
        self._records = records

    def add(self, person: Person, name_key: str, password_hash: str) -> None:
        """Enter a person, or raise Conflict where the name is taken."""
        taken = select(sign_ins).where(sign_ins.c.name_key == name_key)
        with self._records.begin() as work:
            if work.connection.execute(taken).first() is not None:
                msg = f"There is somebody named {person.name} already: choose another name."
                raise Conflict(msg)
            work.enter("person-entered", None, None, person)
            work.connection.execute(
                insert(sign_ins).values(person_id=person.id, name_key=name_key, password_hash=password_hash)
            )

    def everyone(self) -> tuple[Person, ...]:
        """Return all persons."""
        with self._records.look() as r:
            return rows.found(r.connection, Person, {})

    def find(self, person_id: str) -> Person:
        """Return the person with this id, or raise NotFound."""
        with self._records.look() as r:
            found = rows.found(r.connection, Person, {"id": person_id})
        if not found:
            msg = f"There is no person {person_id[:40]!r}."
            raise NotFound(msg)
        return found[0]

    def by_name(self, name_key: str) -> tuple[Person, str] | None:
        """Return the person of this name with the password's hash, or None."""
        query = select(persons, sign_ins.c.password_hash).join(sign_ins)
        with self._records.look() as r:
            row = r.connection.execute(query.where(sign_ins.c.name_key == name_key)).first()
        return None if row is None else (Person(row.id, row.name, row.roles), row.password_hash)

    def password_hash(self, person_id: str) -> tuple[str, str] | None:
        """Return (name key, password's hash) of a person, or None."""
        query = select(sign_ins.c.name_key, sign_ins.c.password_hash)
        with self._records.look() as r:
            row = r.connection.execute(query.where(sign_ins.c.person_id == person_id)).first()
        return None if row is None else (row.name_key, row.password_hash)

    def reset_of(self, person_id: str) -> PasswordReset | None:
        """Return the newest reset of a person's password, or None."""
        with self._records.look() as r:
            return max(r.all(PasswordReset, person_id=person_id), key=lambda one: one.at, default=None)

    def change_password(
        self, kind: str, by: Person, reset: PasswordReset | None, person_id: str, password_hash: str
    ) -> None:
        """Keep a new password and what it does to a reset; end the person's sessions."""
        with self._records.begin() as work:
            work.enter(kind, by, None, *([] if reset is None else [reset]))
            mine = sign_ins.c.person_id == person_id
            work.connection.execute(update(sign_ins).where(mine).values(password_hash=password_hash))
            work.connection.execute(delete(sessions).where(sessions.c.person_id == person_id))

    def enter_reset(self, kind: str, by: Person, reset: PasswordReset) -> None:
        """Keep what happened to a reset."""
        with self._records.begin() as work:
            work.enter(kind, by, None, reset)

    def count_try(self, name_key: str, at: datetime, wait: Callable[[int], timedelta]) -> timedelta:
        """Count a try, or return how long it still has to wait."""
        mine = wrong_tries.c.name_key == name_key
        with self._records.begin() as work:
            work.connection.execute(delete(wrong_tries).where(wrong_tries.c.last_at < at - _FORGOTTEN))
            row = work.connection.execute(select(wrong_tries).where(mine)).first()
            if row is None:
                work.connection.execute(insert(wrong_tries).values(name_key=name_key, wrong=1, last_at=at))
                return timedelta(0)
            left: timedelta = row.last_at + wait(row.wrong) - at
            if left > timedelta(0):
                return left
            work.connection.execute(update(wrong_tries).where(mine).values(wrong=row.wrong + 1, last_at=at))
        return timedelta(0)

    def forget_tries(self, name_key: str) -> None:
        """Begin to count anew."""
        with self._records.aside() as connection:
            connection.execute(delete(wrong_tries).where(wrong_tries.c.name_key == name_key))

    def begin_session(
        self,
        token_hash: str,
        person_id: str,
        begun_at: datetime,
        expires_at: datetime,
        device_id: str | None = None,
    ) -> None:
        """Enter a session, and drop all that have expired."""
        with self._records.aside() as connection:
            connection.execute(delete(sessions).where(sessions.c.expires_at <= begun_at))
            connection.execute(
                insert(sessions).values(
                    token_hash=token_hash,
                    person_id=person_id,
                    begun_at=begun_at,
                    expires_at=expires_at,
                    device_id=device_id,
                )
            )

    def session(self, token_hash: str, at: datetime) -> Person | None:
        """Return whose session this is at this time, or None."""
        query = select(persons).join(sessions).where(sessions.c.token_hash == token_hash)
        with self._records.look() as r:
            row = r.connection.execute(query.where(sessions.c.expires_at > at)).first()
        return None if row is None else rows.entry(Person, row)

    def end_session(self, token_hash: str) -> None:
        """Drop a session."""
        with self._records.aside() as connection:
            connection.execute(delete(sessions).where(sessions.c.token_hash == token_hash))
