"""The use cases about people: enter them, sign in and out, check a signature's password."""

import hashlib
import secrets
from datetime import timedelta

from argon2 import PasswordHasher

from app.errors import NotAllowed
from app.inspection.base import checked_text, new_id
from app.inspection.model import Person, Role
from app.inspection.ports import Clock, Signatories
from app.people.devices import Devices
from app.people.devices_model import Device
from app.people.links import Links
from app.people.links_model import Identity
from app.people.names import name_key
from app.people.passwords import Passwords
from app.people.ports import PeopleStore
from app.people.resets import Resets, after_reset
from app.people.roles import check_roles

_TOKEN_BYTES = 32


class People(Resets, Signatories):
    """Persons, passwords and sessions.

    Parameters
    ----------
    session_hours : float
        How long a sign-in lasts.
    hasher : argon2.PasswordHasher, optional
        Tests give one that is fast.
    device_days : int
        How long a phone may be used before it is registered anew.
    """

    def __init__(
        self,
        store: PeopleStore,
        clock: Clock,
        session_hours: float,
        hasher: PasswordHasher | None = None,
        device_days: int = 90,
    ) -> None:
        super().__init__(store, clock, Passwords(hasher))
        self._lasts = timedelta(hours=session_hours)
        self.devices = Devices(store, clock, device_days)
        self.links = Links(store, clock, self)

    def enter(self, name: str, roles: frozenset[Role], password: str) -> Person:
        """Enter a person.

        Raises
        ------
        Conflict
            The name is taken, capitals or not.
        UsageError
            The name is empty or too long, the password too short or too long, or roles
            are together that one person cannot have.
        """
        check_roles(roles)
        person = Person(new_id(), checked_text(name, "The name", 80), roles)
        self._store.add(person, name_key(person.name), self._passwords.hash(password))
        return person

    def everyone(self) -> tuple[Person, ...]:
        """Return all persons by name."""
        return tuple(sorted(self._store.everyone(), key=lambda one: name_key(one.name)))

    def find(self, person_id: str) -> Person:
        """Return the person with this id.

        Raises
        ------
        NotFound
            There is none.
        """
        return self._store.find(person_id)

    def sign_in(self, name: str, password: str, device: Device | None = None) -> str:
        """Return the token of a new session, which ends with the device that it was begun on.

        Raises
        ------
        TooManyTries
            Too many wrong passwords for this name before.
        NotAllowed
            Name or password is wrong; which of them is not told.
        """
        return self.begin_session(self.recognise(name, password), device)

    def recognise(self, name: str, password: str) -> Person:
        """Return who this is, by name and password.

        Raises
        ------
        TooManyTries
            Too many wrong passwords for this name before.
        NotAllowed
            Name or password is wrong; which of them is not told.
        """
        key = name_key(name)
        found = self._store.by_name(key)
        if not self._is_right(key, password, None if found is None else found[1]) or found is None:
            msg = "Name or password is wrong: type both again."
            raise NotAllowed(msg)
        return found[0]

    def begin_session(self, person: Person, device: Device | None = None) -> str:
        """Return the token of a new session of somebody who was recognised."""
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        now = self._clock.now()
        ends = now + self._lasts if device is None else min(now + self._lasts, device.expires_at)
        self._store.begin_session(_hashed(token), person.id, now, ends, None if device is None else device.id)
        return token

    def sign_in_by_provider(self, identity: Identity, device: Device | None = None) -> str | None:
        """Return the token of a new session of whose identity this is; None where nobody has linked it."""
        person_id = self.links.person_of(identity)
        return None if person_id is None else self.begin_session(self.find(person_id), device)

    def person_of(self, token: str) -> Person | None:
        """Return whose session this is; None where it is unknown, signed out or expired."""
        return self._store.session(_hashed(token), self._clock.now())

    def sign_out(self, token: str) -> None:
        """End a session; an unknown one is no fault."""
        self._store.end_session(_hashed(token))

    def check_password(self, person: Person, password: str) -> bool:
        """Return whether this is the person's password.

        Raises
        ------
        TooManyTries
            Too many wrong ones before.
        NotAllowed
            It was reset, and not yet both changed and vouched for.
        """
        pending = self.pending_reset(person.id)
        if pending is not None:
            raise NotAllowed(after_reset(pending))
        found = self._store.password_hash(person.id)
        return found is not None and self._is_right(found[0], password, found[1])


def _hashed(token: str) -> str:
    # The token is random and long, so a plain hash cannot be searched backwards.
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
