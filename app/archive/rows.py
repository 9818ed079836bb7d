"""Rows and dataclasses, there and back, in one place."""

import dataclasses
from functools import lru_cache
from typing import Any, TypeVar

from sqlalchemy import Connection, Row, Select, Table, bindparam, insert, select, update

from app.archive.tables import KINDS
from app.inspection.canonical import plain

T = TypeVar("T")

PROGRESS = frozenset({"stage"})
"""Fields that tell progress and are no part of the record: no event holds them."""


def entry(kind: type[T], row: Row[Any]) -> T:
    """Return a row as the dataclass that it stands for."""
    return kind(**row._mapping)


def found(connection: Connection, kind: type[T], equal: dict[str, Any]) -> tuple[T, ...]:
    """Return the entries whose named fields equal these values."""
    given = {name: value for name, value in equal.items() if value is not None}
    query = _query(KINDS[kind], tuple(equal), frozenset(given))
    return tuple(entry(kind, row) for row in connection.execute(query, given))


@lru_cache(maxsize=1024)
def _query(table: Table, names: tuple[str, ...], given: frozenset[str]) -> Select[Any]:
    """Return the question for entries by these fields, of which those not `given` are null.

    Each is put together once: that took twice as long as its answer, and a page asks a hundred.
    """
    return select(table).where(
        *(table.c[name] == bindparam(name) if name in given else table.c[name].is_(None) for name in names)
    )


def write(connection: Connection, new: Any) -> dict[str, Any]:
    """Insert an entry, or update the row with its id.

    Returns
    -------
    dict
        The entry's kind and id, and the fields that were set, as plain JSON values.
    """
    kind = type(new)
    table = KINDS[kind]
    names = [field.name for field in dataclasses.fields(kind)]
    there = found(connection, kind, {"id": new.id})
    if there:
        old = there[0]
        names = [name for name in names if getattr(new, name) != getattr(old, name) and name not in PROGRESS]
        if names:
            changed = {name: getattr(new, name) for name in names}
            connection.execute(update(table).where(table.c.id == new.id).values(changed))
    else:
        connection.execute(insert(table).values({name: getattr(new, name) for name in names}))
    return {"entry": table.name, "id": new.id, "set": recorded(new, names)}


def recorded(one: Any, names: list[str]) -> dict[str, Any]:
    """Return what an event holds of these fields of an entry."""
    return {name: plain(getattr(one, name)) for name in names if name not in PROGRESS and name != "id"}
