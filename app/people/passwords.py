"""Passwords: hashed with argon2, and tried ever more slowly."""

from datetime import timedelta

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError

from app.errors import UsageError

SHORTEST, LONGEST = 8, 200
FREE_TRIES = 5
"""So many wrong tries cost no waiting."""

_FIRST_WAIT_S, _LONGEST_WAIT_S = 5, 300


def wait_after(wrong: int) -> timedelta:
    """Return how long to wait after the last of so many wrong tries: 5 s after five, doubled up to 5 min."""
    if wrong < FREE_TRIES:
        return timedelta(0)
    # Past ten the power only grows beyond what is ever waited.
    return timedelta(seconds=min(_FIRST_WAIT_S * 2 ** min(wrong - FREE_TRIES, 10), _LONGEST_WAIT_S))


class Passwords:
    """Hashes passwords and checks them against their hashes.

    Parameters
    ----------
    hasher : argon2.PasswordHasher, optional
        Tests give one that is fast.
    """

    def __init__(self, hasher: PasswordHasher | None = None) -> None:
        self._hasher = hasher or PasswordHasher()
        self._nobody = self._hasher.hash("the password of nobody")

    def hash(self, password: str) -> str:
        """Return the hash of a new password.

        Raises
        ------
        UsageError
            The password is too short or too long.
        """
        if not SHORTEST <= len(password) <= LONGEST:
            msg = f"A password has {SHORTEST} to {LONGEST} letters, not {len(password)}: choose another."
            raise UsageError(msg)
        return self._hasher.hash(password)

    def is_right(self, password: str, hashed: str | None) -> bool:
        """Return whether a password is the one that was hashed; None takes as long and is never right."""
        try:
            self._hasher.verify(hashed or self._nobody, password[: LONGEST + 1])
        except (VerificationError, InvalidHashError, UnicodeError):
            return False
        return hashed is not None
