"""Does the archive still hold what was entered: chains, rows, signatures, files.

It finds what was changed behind the program's back as long as not everything was
changed together: whoever rewrites rows, files *and* every hash after them leaves
no trace in here.
"""

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, select

from app.archive import chain
from app.archive.photos import PhotoFolder
from app.archive.replay import Rows, differences, replay
from app.archive.tables import confirmations, events, heads, tries
from app.inspection.canonical import canonical, sha256


@dataclass(frozen=True)
class Fault:
    """One thing that is not as it was entered: where, and what is wrong there."""

    where: str
    what: str


@dataclass(frozen=True)
class Verification:
    """What a verification found.

    Attributes
    ----------
    orphans : tuple of str
        Files that no row refers to, as paths in the photo folder.  They are
        harmless: what was being stored when a crash came, and was not acknowledged.
    """

    faults: tuple[Fault, ...]
    orphans: tuple[str, ...]


@dataclass
class _Found:
    """What is gathered on the way along the chains."""

    faults: list[Fault] = field(default_factory=list)
    rows: Rows = field(default_factory=dict)
    hashes: dict[str, list[str]] = field(default_factory=dict)
    signed: dict[str, dict[str, Any]] = field(default_factory=dict)
    entered: dict[str, chain.Head] = field(default_factory=dict)

    def add(self, where: str, what: str) -> None:
        self.faults.append(Fault(where, what))


def verify(connection: Connection, photos: PhotoFolder) -> Verification:
    """Return everything in the archive that is not as it was entered."""
    found = _Found()
    _walk_chains(connection, found)
    _compare_heads(connection, found)
    for where, what in differences(connection, found.rows):
        found.add(where, what)
    _check_signatures(connection, found)
    orphans = tuple(_check_files(connection, photos, found))
    return Verification(tuple(found.faults), orphans)


def _walk_chains(connection: Connection, found: _Found) -> None:
    query = select(events).order_by(events.c.chain, events.c.number)
    for name, links in groupby(connection.execute(query), key=lambda row: row.chain):
        last = chain.Head(0, chain.GENESIS)
        hashes = found.hashes.setdefault(name, [])
        for row in links:
            where = f"event {row.number} of chain {name}"
            if row.number != last.number + 1:
                found.add(where, f"it follows event {last.number}: what was between is gone")
            elif row.previous != last.hash:
                found.add(where, "it does not follow from the event before it")
            if chain.link(row.previous, row.body) != row.hash:
                found.add(where, "its bytes do not have its hash: they were changed")
            hashes.append(row.hash)
            last = chain.Head(row.number, row.hash)
            _take_in(row, where, found)


def _take_in(row: Any, where: str, found: _Found) -> None:
    """Keep what the later checks need of one event."""
    try:
        told = json.loads(row.body)
        kind, data, inspection = told["kind"], told["data"], told["inspection"]
        if canonical(told) != row.body:
            found.add(where, "its bytes are not in the canonical form")
        if kind == "head":
            found.entered[inspection] = chain.Head(data["number"], data["hash"])
        elif (inspection or chain.ARCHIVE) != row.chain:
            found.add(where, f"it belongs to {inspection}")
        if kind == "signed":
            found.signed[row.hash] = told
            if sha256(canonical(data["record"])) != data["signed"]:
                found.add(where, "the record is not the one that was signed")
        replay(found.rows, data)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        found.add(where, f"its bytes are no event ({error!r})")


def _compare_heads(connection: Connection, found: _Found) -> None:
    """Each chain ends where the table of heads and, for an inspection's, the archive's chain say."""
    tabled = {row.chain: chain.Head(row.number, row.hash) for row in connection.execute(select(heads))}
    for name in sorted(tabled.keys() | found.hashes.keys() | found.entered.keys()):
        hashes = found.hashes.get(name, [])
        ends = chain.Head(len(hashes), hashes[-1] if hashes else chain.GENESIS)
        if tabled.get(name) != ends:
            found.add(
                f"chain {name}", f"it ends with event {ends.number}, and its head was entered elsewhere"
            )
        if name != chain.ARCHIVE and found.entered.get(name) != ends:
            found.add(
                f"chain {name}", f"it ends with event {ends.number}, which the archive's chain does not say"
            )


def _check_signatures(connection: Connection, found: _Found) -> None:
    told_in = ("id", "event_hash", "confirmer_id", "signed_hash", "try_id", "blind_reading_id")
    for row in connection.execute(select(*(confirmations.c[name] for name in told_in))):
        told = found.signed.get(row.event_hash)
        where = f"confirmations {row.id}"
        if told is None:
            found.add(where, "no event holds its signature")
            continue
        record = told["data"]["record"]
        same = (told["by"], told["data"]["signed"], record["try"]["id"], record["blind"]["id"])
        if same != (row.confirmer_id, row.signed_hash, row.try_id, row.blind_reading_id):
            found.add(where, "it is not what was signed")


def _check_files(connection: Connection, photos: PhotoFolder, found: _Found) -> Iterator[str]:
    """Check every file that a row refers to; return the others."""
    wanted: dict[str, str] = {}
    for row in connection.execute(select(tries.c.id, tries.c.photo, tries.c.annotated)):
        wanted |= {
            sha: f"{what} of tries {row.id}"
            for what, sha in (("annotated", row.annotated), ("photo", row.photo))
            if sha
        }
    for path in photos.files():
        what = wanted.pop(path.stem, None) if path == photos.path(path.stem) else None
        if what is None:
            yield photos.name_of(path)
        elif sha256(path.read_bytes()) != path.stem:
            found.add(f"photo {path.stem}", f"the file was changed or damaged ({what})")
    for sha, what in wanted.items():
        found.add(f"photo {sha}", f"the file is gone ({what})")
