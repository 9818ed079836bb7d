"""What waits between two pages of one browser: for minutes, in this process only, each fetched once.

A server that is started anew knows none of it: whoever was under way begins again.
"""

import hashlib
import secrets
from datetime import timedelta
from threading import Lock
from typing import Generic, TypeVar

from app.inspection.ports import Clock

T = TypeVar("T")
LASTS = timedelta(minutes=10)
_MOST = 500


class Waiting(Generic[T]):
    """Things put away under a random key; only the key's hash is kept."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._kept: dict[str, tuple[float, T]] = {}
        self._one = Lock()

    def put(self, thing: T, key: str = "") -> str:
        """Put a thing away; return the key that fetches it."""
        key = key or secrets.token_urlsafe(32)
        now = self._clock.now().timestamp()
        with self._one:
            self._kept = {one: held for one, held in self._kept.items() if held[0] > now}
            while len(self._kept) >= _MOST:  # the oldest goes
                del self._kept[next(iter(self._kept))]
            self._kept[_hashed(key)] = (now + LASTS.total_seconds(), thing)
        return key

    def look(self, key: str) -> T | None:
        """Return what is under a key, None where nothing is or it is too old."""
        with self._one:
            until, thing = self._kept.get(_hashed(key), (0.0, None))
        return thing if until > self._clock.now().timestamp() else None

    def fetch(self, key: str) -> T | None:
        """Return what is under a key, and forget it."""
        found = self.look(key)
        with self._one:
            self._kept.pop(_hashed(key), None)
        return found


def _hashed(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "replace")).hexdigest()
