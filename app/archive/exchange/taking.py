"""Entering an inspection that another archive exported: its chain as it is, its rows as the chain tells.

What the archive's own chain told there of people, aircraft and legs is entered
here by one event, which also keeps where it came from: the other archive's events
and signatures over the inspection's head.
"""

import dataclasses
import json
from collections.abc import Mapping
from typing import Any

from sqlalchemy import insert, select, update

from app.archive import chain, rows
from app.archive.columns import Plain
from app.archive.records import SqlWork
from app.archive.tables import KINDS, aircraft, events, heads, inspections, metadata
from app.errors import ArchiveError, Conflict
from app.inspection.canonical import canonical, plain
from app.inspection.exchange import IMPORTED, PHOTO_DELETED, Bundle, Link, Rows, Taken, told_rows

_KIND_OF = {table.name: kind for kind, table in KINDS.items()}
_IN_ORDER = [table.name for table in metadata.sorted_tables if table.name in _KIND_OF]


class Entered:
    """The entries that this archive's own chain tells, read on as the chain grows."""

    def __init__(self) -> None:
        self._as_of: dict[tuple[str, str], str | None] = {}
        self._read_to = 0

    def now(self, work: SqlWork) -> Mapping[tuple[str, str], str | None]:
        """Return by entry as of when an import brought it, None where this archive entered it itself."""
        query = select(events.c.number, events.c.body).where(
            events.c.chain == chain.ARCHIVE, events.c.number > self._read_to
        )
        for number, body in work.connection.execute(query.order_by(events.c.number)):
            told = json.loads(body)
            as_of = told["data"]["from"]["at"] if told["kind"] == IMPORTED else None
            for one in told["data"].get("rows", ()):
                key = (one["entry"], one["id"])
                # What an import brought and this archive then changed is its own.
                self._as_of[key] = as_of if self._as_of.get(key, "") is not None else None
            self._read_to = number
        return self._as_of


def take(work: SqlWork, bundle: Bundle, entered_before: Entered) -> Taken:
    """Enter what is new of an inspection.

    Raises
    ------
    Conflict
        Something of it is there already with other content.
    ArchiveError
        It was written by a newer program.
    """
    there = _events_there(work, bundle.inspection_id)
    new = _not_there(there, bundle)
    if not new:
        return Taken.THERE
    own = bundle.own
    told = {key: row for key, row in told_rows(bundle.context).items() if key not in own}
    entered = entered_before.now(work)
    before = [key for key in told if key in entered]
    as_of = max(str(link.told["at"]) for link in bundle.events)
    source = {
        "inspection": bundle.inspection_id,
        "events": [_as_told(link) for link in bundle.context],
        "signatures": [dataclasses.asdict(one) for one in bundle.signatures],
        "at": as_of,
    }
    wanted = _to_enter(work, told, before, entered, as_of)
    _require_place(work, own, told)
    _require_referred(work, own, told)
    for link in new:
        work.connection.execute(insert(events).values(dataclasses.asdict(link)))
    _set_head(work, new[-1])
    data: dict[str, Any] = {"from": source}
    work.enter(IMPORTED, None, None, *_typed(wanted), data=data)
    for one in _typed(own):
        rows.write(work.connection, one)
    for link in bundle.context:
        if link.told["kind"] == PHOTO_DELETED and not there:
            work.enter(PHOTO_DELETED, None, None, data=link.told["data"] | {"imported": _as_told(link)})
    work.touched.add(bundle.inspection_id)
    return Taken.LONGER if there else Taken.NEW


def _events_there(work: SqlWork, name: str) -> list[str]:
    query = select(events.c.hash).where(events.c.chain == name).order_by(events.c.number)
    return list(work.connection.execute(query).scalars())


def _not_there(there: list[str], bundle: Bundle) -> tuple[Link, ...]:
    """Return the events that follow those that are there."""
    given = [link.hash for link in bundle.events]
    for number, (mine, theirs) in enumerate(zip(there, given, strict=False), 1):
        if mine != theirs:
            msg = (
                f"Inspection {bundle.inspection_id} is here already with another event {number}: "
                "both went on apart from each other, and nothing of it was imported."
            )
            raise Conflict(msg)
    return bundle.events[len(there) :]


def _to_enter(
    work: SqlWork,
    told: Rows,
    before: list[tuple[str, str]],
    entered: Mapping[tuple[str, str], str | None],
    at: str,
) -> Rows:
    """Return the entries that are new, or newer than what an earlier import brought.

    Raises
    ------
    Conflict
        This archive has entered one of them itself, with other content.
    """
    wanted = {key: row for key, row in told.items() if key not in before}
    for key in before:
        differs = _differs(work, key, told[key])
        as_of = entered[key]
        if differs and as_of is None:
            msg = (
                f"{key[0]} {key[1]} is here already and differs in {', '.join(differs)}: "
                "import into an archive of its own (`--home` with a new folder)."
            )
            raise Conflict(msg)
        if differs and as_of is not None and as_of < at:
            wanted[key] = told[key]
    return wanted


def _differs(work: SqlWork, key: tuple[str, str], row: dict[str, Any]) -> list[str]:
    (mine,) = rows.found(work.connection, _KIND_OF[key[0]], {"id": key[1]})
    return sorted(name for name, value in row.items() if plain(getattr(mine, name, None)) != value)


def _require_place(work: SqlWork, own: Rows, told: Rows) -> None:
    """Refuse, in words, what the schema would refuse: one registration and one open inspection at most."""
    for (entry, id_), row in told.items():
        if entry == aircraft.name:
            query = select(aircraft.c.id).where(aircraft.c.registration == row["registration"])
            other = work.connection.execute(query.where(aircraft.c.id != id_)).scalar()
            if other is not None:
                msg = (
                    f"{row['registration']} is here already as another entry ({other}): "
                    "import into an archive of its own (`--home` with a new folder)."
                )
                raise Conflict(msg)
    for (entry, id_), row in own.items():
        if entry == inspections.name and row.get("closed_at") is None:
            query = select(inspections.c.id).where(
                inspections.c.aircraft_id == row["aircraft_id"],
                inspections.c.closed_at.is_(None),
                inspections.c.id != id_,
            )
            other = work.connection.execute(query).scalar()
            if other is not None:
                msg = (
                    f"Inspection {id_} is open, and {other} of the same aircraft is open here too: "
                    "close that one, or export this one after it was closed."
                )
                raise Conflict(msg)


def _require_referred(work: SqlWork, own: Rows, told: Rows) -> None:
    """Refuse what refers to another inspection's entries that are not here."""
    for (entry, id_), row in (told | own).items():
        kind = _KIND_OF.get(entry)
        for key in KINDS[kind].foreign_keys if kind else ():
            target, wanted = key.column.table.name, row.get(key.parent.name)
            if (
                wanted is None
                or key.column.name != "id"
                or (target, wanted) in own
                or (target, wanted) in told
            ):
                continue
            other = _KIND_OF.get(target)
            if other is not None and not rows.found(work.connection, other, {"id": wanted}):
                msg = (
                    f"{entry} {id_} refers to {target} {wanted} of another inspection, which is not here: "
                    "export and import both together."
                )
                raise Conflict(msg)


def _set_head(work: SqlWork, last: Link) -> None:
    new = {"number": last.number, "hash": last.hash}
    moved = work.connection.execute(update(heads).where(heads.c.chain == last.chain).values(new))
    if moved.rowcount == 0:
        work.connection.execute(insert(heads).values(chain=last.chain, **new))


def _typed(told: Rows) -> list[Any]:
    """Return entries as dataclasses, those that others refer to first."""
    unknown = sorted({entry for entry, _ in told} - _KIND_OF.keys())
    if unknown:
        raise _newer(", ".join(unknown))
    ordered = sorted(told.items(), key=lambda one: _IN_ORDER.index(one[0][0]))
    return [_one(entry, id_, row) for (entry, id_), row in ordered]


def _one(entry: str, id_: str, row: dict[str, Any]) -> Any:
    kind = _KIND_OF[entry]
    columns = KINDS[kind].columns
    values: dict[str, Any] = {"id": id_}
    for name, value in row.items():
        if name not in columns:
            raise _newer(f"{name} of {entry}")
        values[name] = _value(columns[name].type, value)
    return kind(**values)


def _value(kind: Any, value: Any) -> Any:
    if value is not None and isinstance(kind, Plain):
        value = canonical(value).decode("utf-8")
    read = getattr(kind, "process_result_value", None)
    return value if read is None else read(value, None)


def _newer(what: str) -> ArchiveError:
    return ArchiveError(f"The export holds {what}, which this program does not know: use a newer program.")


def _as_told(link: Link) -> dict[str, Any]:
    """An event as an event can hold it: its bytes are canonical JSON, so the text is exact."""
    return {
        "number": link.number,
        "previous": link.previous,
        "hash": link.hash,
        "body": link.body.decode("utf-8"),
    }
