"""How values of the model stand in columns: each type there and back, the same on every database."""

import json
from collections.abc import Callable
from datetime import datetime
from enum import StrEnum
from typing import Any

from sqlalchemy import Dialect, String, Text, TypeDecorator

from app.inspection.canonical import canonical, utc_text
from app.inspection.model import Role


class Utc(TypeDecorator[datetime]):
    """An aware datetime as text in UTC, of fixed width, so that it sorts by time.

    SQLite gives naive datetimes back, PostgreSQL such in the session's zone; text
    is the same on both.
    """

    impl = String(32)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """Return the text; a naive datetime is a ValueError."""
        return None if value is None else utc_text(value)

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """Return the aware datetime."""
        return None if value is None else datetime.fromisoformat(value)


class Named(TypeDecorator[StrEnum]):
    """A member of an enumeration by its value."""

    impl = String(40)
    cache_ok = True

    def __init__(self, names: type[StrEnum]) -> None:
        super().__init__()
        self.names = names

    def process_bind_param(self, value: StrEnum | None, dialect: Dialect) -> str | None:
        """Return the value; what is no member is a ValueError."""
        return None if value is None else self.names(value).value

    def process_result_value(self, value: str | None, dialect: Dialect) -> StrEnum | None:
        """Return the member."""
        return None if value is None else self.names(value)


class Plain(TypeDecorator[Any]):
    """Plain JSON values as canonical text: a database's own JSON type would reorder keys or round floats.

    Parameters
    ----------
    back : callable, optional
        Makes what is read into what the model has, e.g. `tuple`.
    """

    impl = Text
    cache_ok = True

    def __init__(self, back: Callable[[Any], Any] | None = None) -> None:
        super().__init__()
        self.back = back

    def process_bind_param(self, value: Any, dialect: Dialect) -> str | None:
        """Return the canonical text."""
        return None if value is None else canonical(value).decode("utf-8")

    def process_result_value(self, value: str | None, dialect: Dialect) -> Any:
        """Return the values."""
        if value is None:
            return None
        read = json.loads(value)
        return read if self.back is None else self.back(read)


def roles(values: list[str]) -> frozenset[Role]:
    """Return the roles that these values name."""
    return frozenset(map(Role, values))
