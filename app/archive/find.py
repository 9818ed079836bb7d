"""Pages of settled work, newest first: the port `app.inspection.ports.Finds`.

A page begins where the one before ended (keyset), not at a count of rows, so the
thousandth page costs what the first does, and nothing is shown twice or left out when rows come in.
"""

import re
from datetime import datetime
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Select, func, literal, select, tuple_

from app.archive import find_rows
from app.archive.chain import lock
from app.archive.columns import Utc
from app.archive.records import SqlRecords
from app.archive.tables import aircraft, legs, persons
from app.archive.tables_find import found_rows
from app.errors import UsageError
from app.inspection.canonical import utc_text
from app.inspection.finding import MOST_ROWS, PAGE, FindFilter, FoundPage, FoundRow, Mark
from app.inspection.ports import Finds

_SHOWN = (
    "id", "kind", "at", "inspection_id", "item_id", "leg_id", "aircraft_id", "position", "key", "person_id",
    "second_id", "verdict", "grade", "photo", "value", "expanded_u", "unit",
)  # fmt: skip
_LONGEST = 80
_HASH = re.compile(r"[0-9a-f]{12,64}")
"""The beginning of a photo's hash, as pages and paper show it."""


class SqlFinds(Finds):
    """Searching through the archive's database."""

    def __init__(self, records: SqlRecords) -> None:
        self._records = records

    def page(self, asked: FindFilter, older_than: Mark | None = None, most: int = PAGE) -> FoundPage:
        """Return a page of what is settled, newest first."""
        if not 1 <= most <= MOST_ROWS:
            msg = f"a page of 1 to {MOST_ROWS} rows was expected, not {most}: ask for fewer"
            raise UsageError(msg)
        self._bring_up()
        with self._records.look() as r:
            narrowed = _narrowed(r.connection, asked)
            if narrowed is None:
                return FoundPage((), None)
            wanted, persons_of = narrowed
            found = _rows(r.connection, wanted, persons_of, older_than, most + 1)
            shown = found[:most]
            named = _names(r.connection, shown)
        more = Mark(utc_text(shown[-1].at), shown[-1].id) if len(found) > most else None
        return FoundPage(tuple(_row(one, named) for one in shown), more)

    def items(self) -> tuple[str, ...]:
        """Return the keys of the items there are results of, in the order of the alphabet."""
        self._bring_up()
        with self._records.look() as r:
            # One look into the index for each key: counting through all rows takes as long as they are many.
            keys: list[str] = []
            query = select(found_rows.c.key).order_by(found_rows.c.key).limit(1)
            while (key := r.connection.execute(query).scalar()) is not None:
                keys.append(key)
                query = (
                    select(found_rows.c.key).where(found_rows.c.key > key).order_by(found_rows.c.key).limit(1)
                )
        return tuple(keys)

    def _bring_up(self) -> None:
        with self._records.look() as r:
            behind = find_rows.is_behind(r.connection)
        if behind:
            with self._records.aside() as connection:
                lock(connection)
                find_rows.bring_up(connection)


def _narrowed(
    connection: Connection, asked: FindFilter
) -> tuple[list[ColumnElement[bool]], str | None] | None:
    """Return what each row must be, and whose; None where there cannot be any."""
    place = _place(connection, asked)
    if place is None:
        return None
    c = found_rows.c
    told = ((c.key, asked.item), (c.verdict, asked.verdict), (c.grade, asked.grade))
    wanted = [*place, *(column == value for column, value in told if value is not None)]
    if asked.since is not None:
        wanted.append(c.at >= asked.since)
    if asked.until is not None:
        wanted.append(c.at < asked.until)
    words = find_rows.words_of(asked.words)[:_LONGEST].split()
    wanted += [_holds(word, connection.dialect.name) for word in words]
    return wanted, asked.person_id


def _place(connection: Connection, asked: FindFilter) -> list[ColumnElement[bool]] | None:
    """Return where a row must be, by the narrowest index; None where there is no such place."""
    c = found_rows.c
    if asked.registration is None:
        return [] if asked.position is None else [c.position == asked.position]
    query = select(aircraft.c.id).where(aircraft.c.registration == asked.registration)
    craft = connection.execute(query).scalar()
    if craft is None:
        return None
    if asked.position is None:
        return [c.aircraft_id == craft]
    one = select(legs.c.id).where(legs.c.aircraft_id == craft, legs.c.position == asked.position)
    leg = connection.execute(one).scalar()
    return None if leg is None else [c.leg_id == leg]


def _holds(word: str, dialect: str) -> ColumnElement[bool]:
    """Return that a row's text holds a word, or that its photo's hash begins with it."""
    if _HASH.fullmatch(word):
        return found_rows.c.photo.between(word, word + "g")
    # Both find a piece of text without patterns, which is faster than LIKE and needs no escapes.
    place = func.strpos if dialect == "postgresql" else func.instr
    return place(found_rows.c.words, word) > 0


def _rows(
    connection: Connection,
    wanted: list[ColumnElement[bool]],
    person_id: str | None,
    older_than: Mark | None,
    most: int,
) -> list[Row[Any]]:
    query = ordered(wanted, older_than, most)
    if person_id is None:
        return list(connection.execute(query))
    # Who photographed and who confirmed stand in two columns, each with its index: both are asked, and
    # the newest of both together are the newest of all.
    first = connection.execute(query.where(found_rows.c.person_id == person_id))
    second = connection.execute(query.where(found_rows.c.second_id == person_id))
    both = {row.id: row for row in [*first, *second]}
    return sorted(both.values(), key=lambda row: (utc_text(row.at), row.id), reverse=True)[:most]


def ordered(wanted: list[ColumnElement[bool]], older_than: Mark | None, most: int) -> Select[Any]:
    """Return the query of the newest rows that are all that is wanted, and older than a mark."""
    c = found_rows.c
    query = select(*(c[name] for name in _SHOWN)).where(*wanted)
    if older_than is not None:
        at = literal(datetime.fromisoformat(older_than.at), Utc)
        query = query.where(tuple_(c.at, c.id) < tuple_(at, literal(older_than.id)))
    return query.order_by(c.at.desc(), c.id.desc()).limit(most)


def _names(connection: Connection, found: list[Row[Any]]) -> dict[str, str]:
    """The registrations and people's names behind the ids of these rows."""
    craft = {row.aircraft_id for row in found}
    people = {row.person_id for row in found} | {row.second_id for row in found} - {None}
    one = select(aircraft.c.id, aircraft.c.registration).where(aircraft.c.id.in_(craft))
    other = select(persons.c.id, persons.c.name).where(persons.c.id.in_(people))
    return {id_: name for query in (one, other) for id_, name in connection.execute(query)}


def _row(one: Row[Any], named: dict[str, str]) -> FoundRow:
    told = dict(one._mapping)
    craft, person, second = told.pop("aircraft_id"), told.pop("person_id"), told.pop("second_id")
    return FoundRow(
        registration=named[craft],
        person=named.get(person, "no longer known"),
        second=None if second is None else named.get(second, "no longer known"),
        **told,
    )
