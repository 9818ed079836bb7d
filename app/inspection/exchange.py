"""What passes between an archive and the world outside: chains as they are, and what follows from them.

An inspection is told by its own chain of events, and by those events of the
archive's chain that tell of what it refers to (people, aircraft, legs), enter its
head, or delete its photos.  Everything else about it follows from these bytes.
"""

import json
from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

PHOTO_FIELDS = ("photo", "annotated")
"""The fields of entries that name a file by its SHA-256: an original, a copy drawn by the program."""

PHOTO_DELETED = "photo-deleted"
"""The archive's event by which files went: ``data`` holds ``photos``, ``why`` and ``rule``."""

IMPORTED = "imported"
"""The archive's event by which an inspection came from an export: ``data`` holds where from."""

Rows = dict[tuple[str, str], dict[str, Any]]
"""Entries as plain JSON values by (kind of entry, id)."""


@dataclass(frozen=True)
class Link:
    """One event of a chain as it is stored; `hash` is SHA-256(previous ‖ body)."""

    chain: str
    number: int
    previous: str
    hash: str
    body: bytes

    @property
    def told(self) -> dict[str, Any]:
        """What the bytes say: kind, at, by, inspection, data.

        Raises
        ------
        ValueError
            They are no event.
        """
        read = json.loads(self.body)
        if not isinstance(read, dict) or not isinstance(read.get("data"), dict):
            msg = f"event {self.number} of chain {self.chain} is no event"
            raise ValueError(msg)
        return read


@dataclass(frozen=True)
class HeadSignature:
    """A head of the archive's chain signed with the archive's key, all in hex."""

    number: int
    hash: str
    key_id: str
    public: str
    signature: str


@dataclass(frozen=True)
class Bundle:
    """All that an archive holds of one inspection but the files.

    Attributes
    ----------
    events : tuple of Link
        The inspection's chain from its first event.
    context : tuple of Link
        Events of the archive's chain that concern it, by number; what lies between is left out.
    signatures : tuple of HeadSignature
        Of the heads among `context`.
    """

    inspection_id: str
    events: tuple[Link, ...]
    context: tuple[Link, ...]
    signatures: tuple[HeadSignature, ...] = ()

    @property
    def rows(self) -> Rows:
        """The entries that the events tell, the context's before the inspection's own."""
        return told_rows((*self.context, *self.events))

    @property
    def own(self) -> Rows:
        """The entries that the inspection's own chain tells."""
        return told_rows(self.events)

    @property
    def deleted(self) -> frozenset[str]:
        """The files that were deleted by a recorded act."""
        acts = (link.told for link in self.context)
        return frozenset(
            sha for act in acts if act["kind"] == PHOTO_DELETED for sha in act["data"].get("photos", ())
        )


@dataclass(frozen=True)
class Listed:
    """One inspection in a list, by what people ask for."""

    inspection_id: str
    registration: str
    opened_at: datetime


class Taken(StrEnum):
    """What an import did: a new inspection, one that has gone on since, or nothing, as all was there."""

    NEW = "new"
    LONGER = "longer"
    THERE = "there"


class Exchange(ABC):
    """The archive, as far as inspections leave it and come into it."""

    @abstractmethod
    def listed(self) -> tuple[Listed, ...]:
        """Return all inspections, oldest first."""

    @abstractmethod
    def bundle(self, inspection_id: str) -> Bundle:
        """Return one inspection.

        Raises
        ------
        NotFound
            There is none of this id.
        ArchiveError
            Its chain, or the archive's where it tells of it, is damaged.
        """

    @abstractmethod
    def take(self, bundle: Bundle) -> Taken:
        """Enter an inspection with its ids, hashes and signatures, in one transaction.

        Its files have to be there before.

        Raises
        ------
        Conflict
            Something of it is there already with other content.
        ArchiveError
            It was written by a newer program.
        """


def told_rows(links: Iterable[Link]) -> Rows:
    """Return the entries as a sequence of events leaves them."""
    rows: Rows = {}
    for link in links:
        for one in link.told["data"].get("rows", ()):
            rows.setdefault((one["entry"], one["id"]), {}).update(one["set"])
    return rows


def files_of(rows: Mapping[tuple[str, str], Mapping[str, Any]]) -> dict[str, tuple[str, str, str]]:
    """Return which files entries name: by SHA-256 the kind of entry, its id and the field."""
    return {sha: where for sha, where in _files(rows)}


def _files(
    rows: Mapping[tuple[str, str], Mapping[str, Any]],
) -> Iterator[tuple[str, tuple[str, str, str]]]:
    # Originals last, so that a file that is both counts as one.
    for field in reversed(PHOTO_FIELDS):
        for (entry, id_), row in rows.items():
            if row.get(field):
                yield row[field], (entry, id_, field)
