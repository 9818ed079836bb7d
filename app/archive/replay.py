"""What the rows have to be, told by the events alone, and what they are."""

import hashlib
import json
from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from sqlalchemy import Boolean, Connection, Integer, TypeDecorator, select, type_coerce

from app.archive.columns import Plain
from app.archive.rows import PROGRESS
from app.archive.tables import KINDS

_TABLES = {table.name: table for table in KINDS.values()}
_TEXTS = {
    name: frozenset(column.name for column in table.columns if isinstance(column.type, Plain))
    for name, table in _TABLES.items()
}
_LONGEST = 64


class _Set(NamedTuple):
    """What one event sets in one row: where it stands in time, how it is named, and the fields."""

    place: tuple[int, int]
    where: str
    fields: dict[str, Any]


class Expected:
    """The rows as the events tell them; long values by their hash, so that years of them fit in memory.

    Rows of one entry may be told in several chains (what is carried from one visit to
    the next), so the events count in the order in which the archive's chain has them.
    """

    def __init__(self) -> None:
        self._rows: dict[tuple[str, str], list[_Set]] = {}

    def take(self, data: Mapping[str, Any], place: tuple[int, int], where: str) -> None:
        """Take in what one event says of rows."""
        for one in data.get("rows", ()):
            texts = _TEXTS.get(one["entry"], frozenset())
            fields = {
                name: _small(_text(value) if name in texts and value is not None else value)
                for name, value in one["set"].items()
            }
            self._rows.setdefault((one["entry"], one["id"]), []).append(_Set(place, where, fields))

    def pop(self, entry: str, id_: str) -> tuple[dict[str, Any], str] | None:
        """Return a row's fields and the last event that told of it, and forget it; None where none did."""
        sets = self._rows.pop((entry, id_), None)
        if sets is None:
            return None
        sets.sort(key=lambda one: one.place)
        fields: dict[str, Any] = {}
        for one in sets:
            fields |= one.fields
        return fields, sets[-1].where

    def left(self) -> Iterator[tuple[str, str, str]]:
        """Return (entry, id, last event) of every row that was not asked for."""
        for (entry, id_), sets in self._rows.items():
            yield entry, id_, max(sets, key=lambda one: one.place).where


def actual(connection: Connection) -> Iterator[tuple[str, str, dict[str, Any], dict[str, str]]]:
    """Return (table, id, fields, files) of every row, long values by their hash.

    They are read past the columns' own types, which a changed value could upset.
    `files` are the hashes of photos that the row refers to, by column.
    """
    for name, table in _TABLES.items():
        raw = [type_coerce(column, _raw(column.type)).label(column.name) for column in table.columns]
        files = [column.name for column in table.columns if column.info.get("file")]
        for row in connection.execute(select(*raw)):
            values = dict(row._mapping)
            id_ = str(values.pop("id"))
            told = {column: values[column] for column in files if values[column]}
            yield name, id_, {k: _small(v) for k, v in values.items() if k not in PROGRESS}, told


def file_columns() -> Mapping[str, frozenset[str]]:
    """Return which columns of which tables name photos by their hash."""
    return {
        name: frozenset(column.name for column in table.columns if column.info.get("file"))
        for name, table in _TABLES.items()
    }


def digest(value: Any) -> bytes:
    """Return the SHA-256 of plain JSON values in their canonical form."""
    return hashlib.sha256(_text(value).encode("utf-8")).digest()


def again(told: Any) -> bytes:
    """Return the canonical bytes of values that were read from JSON, which are plain already.

    Raises
    ------
    ValueError
        A number is none that JSON has.
    """
    return _text(told).encode("utf-8")


def _text(value: Any) -> str:
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _small(value: Any) -> Any:
    if isinstance(value, str) and len(value) > _LONGEST:
        return hashlib.sha256(value.encode("utf-8", "surrogatepass")).digest()
    return value


def _raw(kind: Any) -> Any:
    if isinstance(kind, Boolean):
        return Integer()
    return kind.impl_instance if isinstance(kind, TypeDecorator) else kind
