"""What a file says once its tables are read: entries with their places, and the programme made of them."""

from dataclasses import dataclass, field
from typing import Any

from app.programme.faults import Faults
from app.programme.model import (
    Caution,
    Condition,
    Excluded,
    Feature,
    Group,
    Item,
    ItemCondition,
    LimitKind,
    Method,
    Programme,
    SeenBy,
    SeenFrom,
    Statement,
    Where,
)
from app.programme.table import Place


@dataclass(frozen=True)
class Entry:
    """One table: where it stands, and those of its values that are good."""

    place: Place
    values: dict[str, Any] = field(default_factory=dict)

    def get(self, name: str) -> Any:
        """Return a value, or None where it is missing or was faulty."""
        return self.values.get(name)

    @property
    def line(self) -> int:
        """The line in which the table begins."""
        return self.place.faults.line(self.place.path)


@dataclass(frozen=True)
class Content:
    """All of a file."""

    top: Entry
    tables: dict[str, list[Entry]]
    faults: Faults

    def keys(self, table: str) -> list[str]:
        """Return the keys of a table's entries, in order."""
        return [entry.values["key"] for entry in self.tables[table] if "key" in entry.values]

    def programme(self, version: str) -> Programme:
        """Return the programme; only for content in which no fault was found."""
        top, tables = self.top.values, self.tables
        return Programme(
            name=top["name"],
            version=version,
            revision=top.get("revision", ""),
            document=top["document"],
            opening=top["opening"],
            cautions=tuple(Caution(**entry.values) for entry in tables["caution"]),
            features=tuple(Feature(**entry.values) for entry in tables["feature"]),
            conditions=tuple(_condition(entry.values) for entry in tables["condition"]),
            groups=tuple(Group(**entry.values) for entry in tables["group"]),
            items=tuple(_item(entry.values) for entry in tables["item"]),
            excluded=tuple(Excluded(**entry.values) for entry in tables["excluded"]),
        )


def _condition(values: dict[str, Any]) -> Condition:
    statements = tuple(Statement(**entry.values) for entry in values["statement"])
    return Condition(ItemCondition(values["key"]), values["title"], statements, values.get("cautions", ()))


def _item(values: dict[str, Any]) -> Item:
    chosen = {
        "condition": ItemCondition(values["condition"]),
        "method": Method(values["method"]),
        "limit": LimitKind(values["limit"]),
        "seen_by": SeenBy(values.get("seen_by", SeenBy.INSPECTOR)),
        "seen_from": SeenFrom(values.get("seen_from", SeenFrom.AIRCRAFT)),
        "only_where": tuple(Where(*pair) for pair in values.get("only_where", {}).items()),
    }
    return Item(**{**values, **chosen})
