"""What the rows have to be, told by the events alone, and what they are."""

import json
from collections.abc import Iterator, Mapping
from typing import Any

from sqlalchemy import Boolean, Connection, Integer, TypeDecorator, select, type_coerce

from app.archive.columns import Plain
from app.archive.rows import PROGRESS
from app.archive.tables import KINDS

_TABLES = {table.name: table for table in KINDS.values()}
Rows = dict[tuple[str, str], dict[str, Any]]


def replay(expected: Rows, data: Mapping[str, Any]) -> None:
    """Carry the rows on by what one event says of them."""
    for one in data.get("rows", ()):
        expected.setdefault((one["entry"], one["id"]), {}).update(one["set"])


def differences(connection: Connection, expected: Rows) -> Iterator[tuple[str, str]]:
    """Return (which row, what is wrong with it) for every row that is not as the events say."""
    left = dict(expected)
    for name, id_, row in _actual(connection):
        wanted = left.pop((name, id_), None)
        if wanted is None:
            yield f"{name} {id_}", "no event tells of this row"
            continue
        wrong = sorted(field for field in row.keys() | wanted.keys() if row.get(field) != wanted.get(field))
        if wrong:
            yield f"{name} {id_}", f"not what the events say in {', '.join(wrong)}"
    for name, id_ in left:
        yield f"{name} {id_}", "the events tell of this row, and it is gone"


def _actual(connection: Connection) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Every row as plain JSON values, read past the columns' own types, which a changed value could upset."""
    for name, table in _TABLES.items():
        raw = [type_coerce(column, _raw(column.type)).label(column.name) for column in table.columns]
        texts = {column.name for column in table.columns if isinstance(column.type, Plain)}
        for row in connection.execute(select(*raw)):
            values = {
                field: _parsed(value) if field in texts else value
                for field, value in row._mapping.items()
                if field not in PROGRESS
            }
            yield name, str(values.pop("id")), values


def _raw(kind: Any) -> Any:
    if isinstance(kind, Boolean):
        return Integer()
    return kind.impl_instance if isinstance(kind, TypeDecorator) else kind


def _parsed(text: Any) -> Any:
    try:
        return None if text is None else json.loads(text)
    except (TypeError, ValueError):
        return text
