"""Values of a parsed JSON file, each checked and named where it is wrong."""

import math
from collections.abc import Mapping
from difflib import get_close_matches
from typing import Any

from vision.errors import CardError


def table(
    obj: object, source: str, at: str, required: tuple[str, ...], optional: tuple[str, ...] = ()
) -> Mapping[str, Any]:
    """Return `obj` as a JSON object with the known keys only."""
    where = f"{source}: {at}" if at else source
    if not isinstance(obj, dict):
        msg = f"{where}: expected a JSON object with {', '.join(required)}, found {_kind(obj)}."
        raise CardError(msg)
    known = required + optional
    for key in obj:
        if key not in known:
            near = get_close_matches(key, known, n=1, cutoff=0.0)[0]
            msg = f"{where}: unknown key {key!r}; the nearest known key is {near!r}."
            raise CardError(msg)
    for key in required:
        if key not in obj:
            msg = f"{where}: {key!r} is missing; add it."
            raise CardError(msg)
    return obj


def items(data: Mapping[str, object], key: str, source: str) -> list[tuple[object, str]]:
    """Return the items of the list under `key`, each with its place."""
    value = data.get(key, [])
    if not isinstance(value, list):
        msg = f"{source}: {key} must be a list, found {_kind(value)}."
        raise CardError(msg)
    return [(item, f"{key}[{index}]") for index, item in enumerate(value)]


def text(value: object, source: str, at: str) -> str:
    """Return `value` if it is a word."""
    if not isinstance(value, str) or not value.strip():
        msg = f"{source}: {at} must be a word, found {_kind(value)}."
        raise CardError(msg)
    return value


def number(value: object, source: str, at: str) -> float:
    """Return `value` if it is a finite number."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        msg = f"{source}: {at} must be a number, found {_kind(value)}."
        raise CardError(msg)
    # The size comes first: an integer too large for a float cannot be asked for finiteness.
    if abs(value) > 1e6 or not math.isfinite(value):
        msg = f"{source}: {at} is {value!r:.40}; give a finite number in mm."
        raise CardError(msg)
    return float(value)


def numbers(value: object, source: str, at: str, count: int) -> list[float]:
    """Return `count` finite numbers."""
    if not isinstance(value, list) or len(value) != count:
        msg = f"{source}: {at} must be a list of {count} numbers, found {_kind(value)}."
        raise CardError(msg)
    return [number(item, source, f"{at}[{i}]") for i, item in enumerate(value)]


def whole(value: object, source: str, at: str) -> int:
    """Return `value` if it is a whole number."""
    found = number(value, source, at)
    if found != int(found):
        msg = f"{source}: {at} is {found:g}; give a whole number."
        raise CardError(msg)
    return int(found)


def _kind(value: object) -> str:
    return f"{type(value).__name__} {value!r:.60}"
