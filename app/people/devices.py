"""Phones let in and shut out: a code shown once at the desk, a device with a name, its end.

A code is short-lived and counts once.  It lives in this process only: a server that
is started anew knows none of the old ones.  What it opens is the registration alone:
whoever registers still gives his name and password.
"""

import hashlib
import secrets
from dataclasses import replace
from datetime import datetime, timedelta
from threading import Lock

from app.errors import Conflict, NotAllowed, NotFound
from app.inspection.base import checked_text, new_id
from app.inspection.model import Person
from app.inspection.ports import Clock
from app.people.devices_model import Device, PairingCode
from app.people.devices_port import DeviceStore

CODE_LASTS = timedelta(minutes=10)
# Without letters and digits that are taken for each other; ten of them are 50 bits.
_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"
_CODE_LENGTH = 10
_MOST_CODES = 50
_TOKEN_BYTES = 32
_SEEN_AGAIN = timedelta(minutes=10)


class Devices:
    """The devices of one archive, and the codes that wait for one.

    Parameters
    ----------
    days : int
        How long a device may be used before it has to be registered anew.
    """

    def __init__(self, store: DeviceStore, clock: Clock, days: int) -> None:
        self._store = store
        self._clock = clock
        self._lasts = timedelta(days=days)
        self._codes: dict[str, datetime] = {}
        self._seen: dict[str, datetime] = {}
        self._one = Lock()

    def new_code(self) -> PairingCode:
        """Return a code that registers one device within the next minutes."""
        code = "".join(secrets.choice(_LETTERS) for _ in range(_CODE_LENGTH))
        now = self._clock.now()
        with self._one:
            self._codes = {one: until for one, until in self._codes.items() if until > now}
            while len(self._codes) >= _MOST_CODES:
                del self._codes[next(iter(self._codes))]
            self._codes[_hashed(code)] = now + CODE_LASTS
        return PairingCode(code, now + CODE_LASTS)

    def require_code(self, code: str) -> None:
        """Refuse a code that is unknown, used or too old.

        Raises
        ------
        NotAllowed
        """
        with self._one:
            self._require(code)

    def register(self, code: str, person: Person, name: str) -> tuple[Device, str]:
        """Register the device that shows this code; return it, and the token that it keeps.

        Raises
        ------
        NotAllowed
            The code is unknown, used or too old.
        UsageError
            The name is empty or too long.
        """
        clean = checked_text(name, "The phone's name", 60)
        with self._one:
            self._require(code)
            del self._codes[_hashed(_clean(code))]
        now = self._clock.now()
        device = Device(new_id(), clean, person.id, now, now + self._lasts)
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        self._store.add_device(person, device, _hashed(token))
        return device, token

    def known(self, token: str, session: str = "") -> Device | None:
        """Return the device that a token is, None where it may not be used.

        Parameters
        ----------
        session : str
            The session that is shown with it: one that was begun on another device makes it None.
        """
        now = self._clock.now()
        device = self._store.device_of(_hashed(token), now) if token else None
        if device is None:
            return None
        if session:
            there, begun_on = self._store.session_device(_hashed(session))
            if there and begun_on != device.id:
                return None
        if now - self._seen.get(device.id, now - _SEEN_AGAIN) >= _SEEN_AGAIN:
            self._seen[device.id] = now
            self._store.seen(device.id, now)
        return device

    def list_for(self, person: Person) -> tuple[Device, ...]:
        """Return the devices that a person may see, the newest first: his own, to an administrator all."""
        mine = (one for one in self._store.devices() if person.is_administrator or one.person_id == person.id)
        return tuple(sorted(mine, key=lambda one: one.registered_at, reverse=True))

    def last_seen(self) -> dict[str, datetime]:
        """Return when each device was last met, by the device's id."""
        return self._store.last_seen()

    def is_in_use(self, device: Device) -> bool:
        """Tell whether a device may be used now."""
        return device.ended_at is None and device.expires_at > self._clock.now()

    def revoke(self, by: Person, device_id: str) -> Device:
        """End a device: its token no longer counts, and all sessions begun on it are over.

        Raises
        ------
        NotFound
            There is none.
        NotAllowed
            It is neither an administrator's act nor that of the person who registered it.
        Conflict
            It was ended before.
        """
        found = next((one for one in self._store.devices() if one.id == device_id), None)
        if found is None:
            msg = "There is no such phone: open the list again."
            raise NotFound(msg)
        if not by.is_administrator and by.id != found.person_id:
            msg = "A phone is shut out by the person who registered it, or by an administrator."
            raise NotAllowed(msg)
        if found.ended_at is not None:
            msg = f"{found.name} was shut out before."
            raise Conflict(msg)
        ended = replace(found, ended_at=self._clock.now(), ended_by=by.id)
        self._store.end_device(by, ended)
        return ended

    def _require(self, code: str) -> None:
        until = self._codes.get(_hashed(_clean(code)))
        if until is None or until <= self._clock.now():
            msg = "This code is used up, too old or mistyped: let the desk show a new one."
            raise NotAllowed(msg)


def _clean(code: str) -> str:
    return "".join(code.split()).upper()


def _hashed(token: str) -> str:
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()
