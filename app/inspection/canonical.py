"""One way to write a value as bytes, so that its hash can be computed again in years.

UTF-8 JSON, keys sorted, no spaces, no escapes that JSON does not ask for, floats
by `repr` (the shortest decimal that gives the same float back), no NaN and no
infinity.  Datetimes are written in UTC with six digits of the second, days as they stand.
"""

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from enum import Enum
from typing import Any


def utc_text(at: datetime) -> str:
    """Return an aware datetime as text of fixed width in UTC, e.g. ``2024-05-01T12:00:00.000000+00:00``.

    Raises
    ------
    ValueError
        The datetime is naive: nobody could tell its zone later.
    """
    if at.tzinfo is None:
        msg = f"{at} has no time zone: give an aware datetime"
        raise ValueError(msg)
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def plain(value: Any) -> Any:
    """Return a value as plain JSON values: dataclasses as objects, tuples as lists, sets sorted.

    Raises
    ------
    TypeError
        Something in it has no one way of being written.
    ValueError
        A datetime is naive.
    """
    match value:
        case Enum():
            found = value.value
        case None | bool() | str() | int() | float():
            found = value
        case datetime():
            found = utc_text(value)
        case date():
            found = value.isoformat()
        case list() | tuple():
            found = [plain(one) for one in value]
        case frozenset():
            found = sorted(plain(one) for one in value)
        case Mapping():
            found = {_key(key): plain(one) for key, one in value.items()}
        case _ if dataclasses.is_dataclass(value) and not isinstance(value, type):
            found = {one.name: plain(getattr(value, one.name)) for one in dataclasses.fields(value)}
        case _:
            msg = f"{type(value).__name__} has no canonical form: {value!r}"
            raise TypeError(msg)
    return found


def _key(key: Any) -> str:
    if not isinstance(key, str):
        msg = f"an object's keys have to be text, got {key!r}"
        raise TypeError(msg)
    return key


def canonical(value: Any) -> bytes:
    """Return the canonical bytes of a value.

    Raises
    ------
    TypeError, ValueError
        See `plain`; also for NaN, infinities, and text that UTF-8 cannot carry.
    """
    text = json.dumps(
        plain(value), sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
    )
    return text.encode("utf-8")


def sha256(data: bytes) -> str:
    """Return the SHA-256 of bytes in hex."""
    return hashlib.sha256(data).hexdigest()
