"""Photos deleted by a recorded act: who, why and by which rule stand in the archive's chain, with the hashes.

The act is committed first, then the annotated copies go, the originals last: a
crash leaves files that should be gone, which the next act removes, and never a file
that is gone without an act.  Entries and chains stay for ever.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, select

from app.archive.exchange.context import links_of
from app.archive.exchange.told import deleted
from app.archive.records import SqlRecords
from app.archive.store import PhotoStore
from app.archive.tables import KINDS, inspections
from app.errors import NotAllowed, NotFound
from app.inspection.exchange import PHOTO_DELETED, PHOTO_FIELDS, files_of, told_rows
from app.inspection.model import Person


@dataclass(frozen=True)
class Plan:
    """What an act would delete.

    Attributes
    ----------
    inspections : tuple of str
        Whose photos go.
    photos : tuple of str
        Hashes of what goes, the annotated copies before the originals.
    kept : mapping
        Hashes of what stays although it is theirs, with the reason.
    left : tuple of str
        Hashes that earlier acts deleted and whose files are still there.
    """

    inspections: tuple[str, ...]
    photos: tuple[str, ...]
    kept: Mapping[str, str]
    left: tuple[str, ...]


def plan(records: SqlRecords, photos: PhotoStore, inspection_ids: Sequence[str]) -> Plan:
    """Return what deleting the photos of these inspections would do; nothing is changed.

    Raises
    ------
    NotFound
        There is no such inspection.
    NotAllowed
        One of them is still open: what it decides on must be seen.
    """
    with records.look() as r:
        own, wanted = set[tuple[str, str]](), dict[str, str]()
        for id_ in inspection_ids:
            _require_closed(r.connection, id_)
            told = told_rows(links_of(r.connection, id_))
            own |= told.keys()
            wanted |= {sha: field for sha, (_, _, field) in files_of(told).items()}
        kept = _named_elsewhere(r.connection, wanted.keys(), own)
        # The same photo may have come once more after it was deleted, and is then there for another reason.
        acts = deleted(r.connection)
        left = {sha for sha in acts if sha not in wanted and photos.has(sha)}
        for id_ in {id_ for sha in left for id_ in acts[sha]}:
            own |= told_rows(links_of(r.connection, id_)).keys()
        left -= _named_elsewhere(r.connection, left, own).keys()
    going = [sha for sha in wanted if sha not in kept and (sha not in acts or photos.has(sha))]
    # An original goes last, so that what was read stays to be seen as long as its photo does.
    going.sort(key=lambda sha: (wanted[sha] == "photo", sha))
    return Plan(tuple(inspection_ids), tuple(going), kept, tuple(sorted(left)))


def delete(
    records: SqlRecords, photos: PhotoStore, planned: Plan, who: Person, why: str, rule: str
) -> tuple[str, ...]:
    """Enter the act, then remove the files; return the hashes of what was removed.

    Parameters
    ----------
    why, rule : str
        The reason, and the rule that allows it, e.g. the shop's retention rule by its number.

    Raises
    ------
    ArchiveError
        The act cannot be entered, and nothing was removed; or a file cannot be removed: what is left
        goes with the next act.
    """
    if planned.photos:
        data = {"photos": list(planned.photos), "inspections": list(planned.inspections), "why": why}
        with records.begin() as work:
            work.enter(PHOTO_DELETED, who, None, data=data | {"rule": rule})
    removed = []
    for sha in (*planned.left, *planned.photos):
        photos.remove(sha)
        removed.append(sha)
    return tuple(removed)


def _require_closed(connection: Connection, id_: str) -> None:
    query = select(inspections.c.closed_at).where(inspections.c.id == id_)
    row = connection.execute(query).first()
    if row is None:
        msg = f"There is no inspection {id_[:40]!r} in the archive."
        raise NotFound(msg)
    if row.closed_at is None:
        msg = f"Inspection {id_} is open, and its photos are still needed: close it first."
        raise NotAllowed(msg)


def _named_elsewhere(
    connection: Connection, shas: Iterable[str], own: set[tuple[str, str]]
) -> dict[str, str]:
    """Return which of these files other entries name too."""
    found: dict[str, str] = {}
    asked = set(shas)
    for table in KINDS.values():
        for field in PHOTO_FIELDS:
            if field not in table.columns:
                continue
            query = select(table.c.id, table.c[field]).where(table.c[field].is_not(None))
            for id_, sha in connection.execute(query):
                if sha in asked and (table.name, id_) not in own:
                    found[sha] = f"{table.name} {id_} names it too"
    return found
