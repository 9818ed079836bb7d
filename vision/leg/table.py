"""One TOML table against its keys: known names, right types, finite numbers.

Whatever is wrong becomes a `LegError` that names the file, the table, the key,
what stands there and what to write.
"""

import difflib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, NoReturn

from vision.errors import LegError
from vision.leg.keys import LEG_KEYS, TABLES, Key, Kind, spellings

_LEG_TAGS = (400, 586)
_U_STANDS_ALONE = ("collar_recess_mm", "line_clock_deg", "extension_mm")
"""Keys with a default, and the one that a chart replaces: their u may come without them."""


def fail(where: str, words: str) -> NoReturn:
    """Raise `LegError` with the place in front of the words."""
    msg = f"{where} {words}"
    raise LegError(msg)


@dataclass(frozen=True)
class Table:
    """Checked values of one table, by key; `u` and `documents` by the key they belong to."""

    where: str
    values: Mapping[str, Any] = field(default_factory=dict)
    u: Mapping[str, float] = field(default_factory=dict)
    documents: Mapping[str, str] = field(default_factory=dict)
    document: str = ""

    def number(self, name: str) -> float | None:
        """Return the number at `name`, or None."""
        value = self.values.get(name)
        return None if value is None else float(value)

    def text(self, name: str, default: str = "") -> str:
        """Return the text at `name`, or the default."""
        return str(self.values.get(name, default))


def read_table(raw: Mapping[str, Any], keys: Sequence[Key], where: str) -> Table:
    """Return the checked table.

    Raises
    ------
    LegError
        A key is unknown, or a value is of the wrong type, not finite or has the
        wrong sign.
    """
    _check_names(raw, tuple(keys), where)
    values = {key.name: _VALUE[key.kind](key, raw[key.name], where) for key in keys if key.name in raw}
    for key in keys:
        if key.is_number and key.u_name in raw and key.name not in (*raw, *_U_STANDS_ALONE):
            fail(where, f"{key.u_name} doubts a value that is not there: write {key.name} too")
    u = {
        key.name: _not_negative(key.u_name, raw[key.u_name], where)
        for key in keys
        if key.is_number and key.u_name in raw
    }
    document = _text("document", raw.get("document", ""), where)
    return Table(where, values, u, _documents(raw, keys, where), document)


def _documents(raw: Mapping[str, Any], keys: Sequence[Key], where: str) -> dict[str, str]:
    documents: dict[str, str] = {}
    for key in keys:
        names = [name for name in dict.fromkeys(key.document_names) if name in raw]
        if len(names) > 1:
            fail(where, f"{names[0]} and {names[1]} both name the source of {key.name}: keep one")
        if names:
            documents[key.name] = _text(names[0], raw[names[0]], where)
    return documents


def _check_names(raw: Mapping[str, Any], keys: tuple[Key, ...], where: str) -> None:
    known = spellings(keys)
    for name in raw:
        if name not in known:
            fail(where, f"{name} is not a known key: {_suggestion(name, known, raw)}")


def _suggestion(name: str, known: list[str], present: Mapping[str, Any]) -> str:
    for table, keys in TABLES.items():
        if name in spellings(keys):
            return f"it belongs in [{table}], or below that line"
    if name in spellings(LEG_KEYS):
        return "it belongs above the first [table]"
    nearest = difflib.get_close_matches(name, known, 1, 0.0)[0]
    if nearest not in present:
        return f"the nearest known key is {nearest}"
    free = [candidate for candidate in known if candidate not in present]
    other = "".join(f", or {match} was meant" for match in difflib.get_close_matches(name, free, 1, 0.0))
    return f"the nearest known key is {nearest}, which is there already: take one out{other}"


def number(name: str, value: object, where: str) -> float:
    """Return a finite number, or raise `LegError` (a boolean or a text is none)."""
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        fail(where, f"{name} = {value!r} is not a number: write digits without quotes, e.g. {name} = 60.0")
    try:
        real = float(value)
    except OverflowError:
        real = math.inf
    if not math.isfinite(real):
        fail(where, f"{name} = {real} is not finite: write the measured number, or leave the key out")
    return real


def _not_negative(name: str, value: object, where: str) -> float:
    real = number(name, value, where)
    if real < 0:
        fail(where, f"{name} = {real:g} is negative: write a standard uncertainty of 0 or more")
    return real


def _positive(key: Key, value: object, where: str) -> float:
    real = number(key.name, value, where)
    if real <= 0:
        fail(where, f"{key.name} = {real:g} must be greater than 0: write it in {key.unit}")
    return real


def _signed(key: Key, value: object, where: str) -> float:
    return number(key.name, value, where)


def _text(name: str, value: object, where: str) -> str:
    if not isinstance(value, str):
        fail(where, f'{name} = {value!r} is not a text: write it in quotes, e.g. {name} = "…"')
    return value.strip()


def _text_value(key: Key, value: object, where: str) -> str:
    return _text(key.name, value, where)


def _choice(key: Key, value: object, where: str) -> str:
    if not isinstance(value, str) or value not in key.choices:
        fail(where, f"{key.name} = {value!r} is not known: write one of {', '.join(key.choices)}")
    return value


def _tag(key: Key, value: object, where: str) -> int:
    low, high = _LEG_TAGS
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        fail(where, f"{key.name} = {value!r} is no leg tag: write a whole number from {low} to {high}")
    return value


def _pair(key: Key, value: object, where: str, example: str) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2:
        fail(where, f"{key.name} holds {value!r} where two numbers belong: write {example}")
    first, second = (number(key.name, part, where) for part in value)
    return first, second


def _chart(key: Key, value: object, where: str) -> tuple[tuple[float, float], ...]:
    example = f"{key.name} = [[3500, 95.0], [4200, 84.0]], each row a pressure in kPa and a length in mm"
    if not isinstance(value, list) or len(value) < 2:
        fail(where, f"{key.name} needs two rows or more to be interpolated: write {example}")
    rows = tuple(_pair(key, row, where, example) for row in value)
    for row in rows:
        if min(row) <= 0:
            fail(where, f"{key.name} holds {list(row)}: pressures and lengths must be greater than 0")
    return rows


def _clock(key: Key, value: object, where: str) -> tuple[float, float]:
    first, second = _pair(key, value, where, f"{key.name} = [150, 210]")
    if first == second or not all(0 <= angle <= 360 for angle in (first, second)):
        fail(where, f"{key.name} = {value}: write two different clock angles from 0 to 360")
    return first, second


_VALUE: dict[Kind, Callable[[Key, object, str], Any]] = {
    Kind.POSITIVE: _positive,
    Kind.SIGNED: _signed,
    Kind.TEXT: _text_value,
    Kind.CHOICE: _choice,
    Kind.TAG: _tag,
    Kind.CHART: _chart,
    Kind.CLOCK: _clock,
}
