"""Columns that the tables of the whole inspection share."""

from datetime import date
from typing import Any

from sqlalchemy import Column, Dialect, ForeignKey, String, TypeDecorator

ID = String(32)
HASH = String(64)


class Day(TypeDecorator[date]):
    """A day as ISO text, so that it sorts and is the same on every database."""

    impl = String(10)
    cache_ok = True

    def process_bind_param(self, value: date | None, dialect: Dialect) -> str | None:
        """Return the text."""
        return None if value is None else value.isoformat()

    def process_result_value(self, value: str | None, dialect: Dialect) -> date | None:
        """Return the day."""
        return None if value is None else date.fromisoformat(value)


def id_() -> Column[str]:
    """Return the primary key."""
    return Column("id", ID, primary_key=True)


def ref(name: str, target: str, null: bool = False, index: bool = False) -> Column[str]:
    """Return a reference to another table's id."""
    return Column(name, ID, ForeignKey(f"{target}.id"), nullable=null, index=index)


def need(name: str, kind: Any) -> Column[Any]:
    """Return a column that is never empty."""
    return Column(name, kind, nullable=False)
