"""A password that was reset: so that who resets it cannot use it unseen.

reset (an administrator, never his own) → temporary password, all sessions ended
→ changed by the person at his next sign-in → vouched for by another person who
works on the aircraft and is neither of the two → signs again.  Each step is an
event in the archive's chain, and until the last the person signs nothing.
"""

import math
import secrets
from dataclasses import replace
from datetime import timedelta

from app.errors import Conflict, NotAllowed, TooManyTries
from app.inspection.base import new_id
from app.inspection.model import Person
from app.inspection.ports import Clock
from app.inspection.rounds.model import PasswordReset
from app.people.passwords import Passwords, wait_after
from app.people.ports import PeopleStore

_TEMPORARY_BYTES = 9


class Resets:
    """Passwords changed, reset and vouched for."""

    def __init__(self, store: PeopleStore, clock: Clock, passwords: Passwords) -> None:
        self._store = store
        self._clock = clock
        self._passwords = passwords

    def pending_reset(self, person_id: str) -> PasswordReset | None:
        """Return the reset that keeps a person from signing, or None."""
        found = self._store.reset_of(person_id)
        return None if found is None or (found.changed_at and found.vouched_at) else found

    def reset_password(self, by: Person, person_id: str) -> str:
        """Return a temporary password, to be told to the person; the old one ends, and all his sessions.

        Raises
        ------
        NotAllowed
            Only an administrator resets, and never his own.
        """
        if not by.is_administrator or by.id == person_id:
            msg = "A password is reset by an administrator, and never his own."
            raise NotAllowed(msg)
        person = self._store.find(person_id)
        temporary = secrets.token_urlsafe(_TEMPORARY_BYTES)
        made = PasswordReset(new_id(), person.id, by.id, self._clock.now())
        self._store.change_password("password-reset", by, made, person.id, self._passwords.hash(temporary))
        return temporary

    def change_password(self, person: Person, old: str, new: str) -> None:
        """Change one's own password; all sessions end, and one signs in anew.

        Raises
        ------
        NotAllowed
            The old one is wrong.
        Conflict
            The new one is the old one.
        UsageError
            The new one is too short or too long.
        """
        found = self._store.password_hash(person.id)
        if found is None or not self._is_right(found[0], old, found[1]):
            msg = "That is not your present password, so nothing was changed: type it again."
            raise NotAllowed(msg)
        if old == new:
            msg = "The new password is the old one: choose another."
            raise Conflict(msg)
        pending = self._store.reset_of(person.id)
        changed = None
        if pending is not None and pending.changed_at is None:
            changed = replace(pending, changed_at=self._clock.now())
        self._store.change_password("password-changed", person, changed, person.id, self._passwords.hash(new))

    def vouch(self, by: Person, person_id: str, password: str) -> PasswordReset:
        """Say, by one's own password, that the person himself has the account whose password was reset.

        Raises
        ------
        NotAllowed
            It is the person himself, who reset it, or nobody who works on aircraft; or
            the password is wrong.
        Conflict
            Nothing is to be vouched for, or the temporary password was not changed yet.
        """
        found = self.pending_reset(person_id)
        if found is None:
            msg = "There is nothing to vouch for: this password was not reset, or was vouched for."
            raise Conflict(msg)
        if by.id in (person_id, found.by) or not by.is_worker or self.pending_reset(by.id) is not None:
            msg = "Another person who works on the aircraft has to vouch, not who reset the password."
            raise NotAllowed(msg)
        if found.changed_at is None:
            msg = "The temporary password was not changed yet: the person signs in and changes it first."
            raise Conflict(msg)
        mine = self._store.password_hash(by.id)
        if mine is None or not self._is_right(mine[0], password, mine[1]):
            msg = "That is not your password, so nothing was vouched for: type it again."
            raise NotAllowed(msg)
        made = replace(found, vouched_by=by.id, vouched_at=self._clock.now())
        self._store.enter_reset("reset-vouched", by, made)
        return made

    def _is_right(self, key: str, password: str, hashed: str | None) -> bool:
        left = self._store.count_try(key, self._clock.now(), wait_after)
        if left > timedelta(0):
            seconds = math.ceil(left.total_seconds())
            msg = f"Too many wrong passwords: wait {seconds} s, then type it again."
            raise TooManyTries(msg)
        right = self._passwords.is_right(password, hashed)
        if right:
            self._store.forget_tries(key)
        return right


def after_reset(pending: PasswordReset) -> str:
    """Return what a person is told who cannot sign since his password was reset."""
    if pending.changed_at is None:
        return "Your password was reset: change the temporary one before you sign anything."
    return (
        "Your password was reset: before you sign anything, another person who works on the "
        "aircraft has to vouch that you are yourself."
    )
