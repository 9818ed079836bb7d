"""Which events of the archive's own chain tell of one inspection.

Its rows refer to people, aircraft and legs, whose rows the archive's chain tells;
which field refers to what stands in the tables' foreign keys.
"""

from collections import defaultdict
from collections.abc import Iterable

from sqlalchemy import Connection, select

from app.archive import chain
from app.archive.tables import KINDS, archive_keys, events, head_signatures
from app.errors import ArchiveError
from app.inspection.exchange import IMPORTED, PHOTO_DELETED, HeadSignature, Link, Rows, files_of, told_rows

_TABLES = {table.name: table for table in KINDS.values()}
_LONGEST_TRANSACTION = 50
"""How many events at most are taken along to reach the next signed head."""


def links_of(connection: Connection, name: str) -> tuple[Link, ...]:
    """Return a chain from its first event, each event following from the one before.

    Raises
    ------
    ArchiveError
        It does not: something was changed behind the program's back.
    """
    query = select(events).where(events.c.chain == name).order_by(events.c.number)
    found = tuple(
        Link(row.chain, row.number, row.previous, row.hash, bytes(row.body))
        for row in connection.execute(query)
    )
    last = chain.Head(0, chain.GENESIS)
    for link in found:
        new = chain.Head(last.number + 1, chain.link(link.previous, link.body))
        if (link.number, link.previous, link.hash) != (new.number, last.hash, new.hash):
            msg = f"Event {link.number} of chain {name} was changed: run `gearwitness archive verify`."
            raise ArchiveError(msg)
        last = new
    return found


class Context:
    """The archive's chain, read once, and what of it concerns an inspection."""

    def __init__(self, connection: Connection) -> None:
        self._links = links_of(connection, chain.ARCHIVE)
        self._signatures = {
            row.number: HeadSignature(row.number, row.hash, row.key_id, row.public, row.signature)
            for row in connection.execute(
                select(head_signatures, archive_keys.c.public).join(
                    archive_keys, archive_keys.c.id == head_signatures.c.key_id
                )
            )
        }
        self._rows = told_rows(self._links)
        self._tells: dict[tuple[str, str], list[int]] = defaultdict(list)
        self._heads: dict[str, list[int]] = defaultdict(list)
        self._deleted: dict[str, list[int]] = defaultdict(list)
        for link in self._links:
            self._sort_in(link)

    def of(self, inspection_id: str, own: Rows) -> tuple[tuple[Link, ...], tuple[HeadSignature, ...]]:
        """Return the events that concern an inspection with these rows, and the signatures over them."""
        numbers = set(self._heads[inspection_id])
        for row in self._referred(own):
            numbers.update(self._tells[row])
        for sha in files_of(own):
            numbers.update(self._deleted[sha])
        for number in sorted(numbers):
            numbers.update(self._to_next_signature(number))
        links = tuple(self._links[number - 1] for number in sorted(numbers))
        return links, tuple(self._signatures[number] for number in sorted(numbers & self._signatures.keys()))

    def tells(self, last: Link) -> bool:
        """Return whether the head of an inspection's chain is the last one entered here."""
        entered = self._heads[last.chain]
        return any(
            self._links[number - 1].told["data"].get("hash") == last.hash for number in reversed(entered)
        )

    def _sort_in(self, link: Link) -> None:
        told = link.told
        if told["kind"] == "head":
            self._heads[told["inspection"]].append(link.number)
        if told["kind"] == IMPORTED:
            self._heads[told["data"]["from"]["inspection"]].append(link.number)
        if told["kind"] == PHOTO_DELETED:
            for sha in told["data"]["photos"]:
                self._deleted[sha].append(link.number)
        for one in told["data"].get("rows", ()):
            self._tells[one["entry"], one["id"]].append(link.number)

    def _referred(self, own: Rows) -> Iterable[tuple[str, str]]:
        """The archive's rows that these refer to, and those that they refer to in turn."""
        found: set[tuple[str, str]] = set()
        waiting = list(own.items())
        while waiting:
            (entry, _), fields = waiting.pop()
            for key in _TABLES[entry].foreign_keys if entry in _TABLES else ():
                target = (key.column.table.name, str(fields.get(key.parent.name)))
                if target in self._rows and target not in found:
                    found.add(target)
                    waiting.append((target, self._rows[target]))
        return found

    def _to_next_signature(self, number: int) -> Iterable[int]:
        ends = min(number + _LONGEST_TRANSACTION, len(self._links) + 1)
        for signed in range(number, ends):
            if signed in self._signatures:
                return range(number, signed + 1)
        return ()
