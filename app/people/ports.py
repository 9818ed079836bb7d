"""What the use cases about people need from outside; `app.archive` implements it."""

from abc import ABC, abstractmethod
from collections.abc import Callable
from datetime import datetime, timedelta

from app.inspection.model import Person
from app.inspection.rounds.model import PasswordReset
from app.people.devices_port import DeviceStore
from app.people.links_port import LinkStore


class PeopleStore(DeviceStore, LinkStore, ABC):
    """Where persons, password hashes, sessions and wrong tries are kept.

    A *name key* is a name as it is compared (`app.people.names.name_key`); of a
    session only the hash of its token is kept.
    """

    @abstractmethod
    def add(self, person: Person, name_key: str, password_hash: str) -> None:
        """Enter a person, with an event in the archive's chain.

        Raises
        ------
        Conflict
            The name is taken.
        """

    @abstractmethod
    def everyone(self) -> tuple[Person, ...]:
        """Return all persons, in no promised order."""

    @abstractmethod
    def find(self, person_id: str) -> Person:
        """Return the person with this id.

        Raises
        ------
        NotFound
            There is none.
        """

    @abstractmethod
    def by_name(self, name_key: str) -> tuple[Person, str] | None:
        """Return the person of this name with the password's hash, or None."""

    @abstractmethod
    def password_hash(self, person_id: str) -> tuple[str, str] | None:
        """Return (name key, password's hash) of a person, or None."""

    @abstractmethod
    def reset_of(self, person_id: str) -> PasswordReset | None:
        """Return the newest reset of a person's password, or None."""

    @abstractmethod
    def change_password(
        self, kind: str, by: Person, reset: PasswordReset | None, person_id: str, password_hash: str
    ) -> None:
        """Keep a new password and the reset that it makes or ends, with an event; end all the sessions."""

    @abstractmethod
    def enter_reset(self, kind: str, by: Person, reset: PasswordReset) -> None:
        """Keep what happened to a reset, with an event."""

    @abstractmethod
    def count_try(self, name_key: str, at: datetime, wait: Callable[[int], timedelta]) -> timedelta:
        """Count a try at a password before it is checked, so that many at once are counted too.

        Parameters
        ----------
        wait : callable
            How long after the last of so many wrong tries the next one has to wait.

        Returns
        -------
        timedelta
            Zero where it was counted; else how long it still has to wait, uncounted.
        """

    @abstractmethod
    def forget_tries(self, name_key: str) -> None:
        """Begin to count anew: the password was right."""

    @abstractmethod
    def begin_session(
        self,
        token_hash: str,
        person_id: str,
        begun_at: datetime,
        expires_at: datetime,
        device_id: str | None = None,
    ) -> None:
        """Enter a session, begun on this device or on none, and drop all that have expired."""

    @abstractmethod
    def session(self, token_hash: str, at: datetime) -> Person | None:
        """Return whose session this is at this time, or None."""

    @abstractmethod
    def end_session(self, token_hash: str) -> None:
        """Drop a session."""
