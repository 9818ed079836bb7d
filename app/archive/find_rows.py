"""The rows that the archive is searched by, brought up to the records when somebody searches.

The archive's own chain names every inspection that a transaction touched, so what
is new since the last search is known without looking at everything.  The rows are
no part of the record: where their form is another program's, all are made anew.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from itertools import islice
from typing import Any, NamedTuple, TypeVar

from sqlalchemy import ColumnElement, Connection, Select, delete, insert, select

from app.archive import chain, rows
from app.archive.tables import KINDS, events, inspections
from app.archive.tables_find import found_rows, found_up_to
from app.inspection.finding import FoundKind, FoundVerdict
from app.inspection.model import (
    Confirmation,
    Discrepancy,
    HandReading,
    Item,
    ItemState,
    LegEntry,
    Try,
    TryState,
)
from app.inspection.rounds.model import Answer, Look, Signature

T = TypeVar("T")
FORM = 3
"""Raised with every change of what stands in a row."""
_AT_ONCE = 200
_MOST_LETTERS = 600  # four bytes each at most, and an index entry in PostgreSQL holds 2704
_SETTLED_BY_HAND = (ItemState.CLOSED, ItemState.DISCREPANCY)


class Signed(NamedTuple):
    """The second person on a photo, and when he signed."""

    person_id: str
    at: datetime


def is_behind(connection: Connection) -> bool:
    """Return whether the records have gone on since the rows were made."""
    return _up_to(connection) != chain.head(connection, chain.ARCHIVE).number


def bring_up(connection: Connection) -> None:
    """Make the rows of all inspections that were touched since the last time, or of all.

    The transaction must be one that writes and holds the archive chain's head.
    """
    done, last = _up_to(connection), chain.head(connection, chain.ARCHIVE).number
    if done == last:
        return
    if done is None or done > last:
        connection.execute(delete(found_rows))
        touched: Iterable[str] = connection.execute(select(inspections.c.id)).scalars().all()
    else:
        touched = _touched(connection, done)
    for some in _portions(touched):
        if done is not None:
            connection.execute(delete(found_rows).where(found_rows.c.inspection_id.in_(some)))
        new = list(_of_inspections(connection, some))
        if new:
            connection.execute(insert(found_rows), new)
    connection.execute(delete(found_up_to))
    connection.execute(insert(found_up_to).values(form=FORM, number=last))


def _up_to(connection: Connection) -> int | None:
    return connection.execute(select(found_up_to.c.number).where(found_up_to.c.form == FORM)).scalar()


def _touched(connection: Connection, after: int) -> set[str]:
    """The inspections that the archive chain's events after this number name."""
    query = select(events.c.body).where(events.c.chain == chain.ARCHIVE, events.c.number > after)
    named = (json.loads(body)["inspection"] for body in connection.execute(query).scalars())
    return {one for one in named if one is not None}


def _portions(ids: Iterable[str]) -> Iterator[tuple[str, ...]]:
    left = iter(ids)
    while some := tuple(islice(left, _AT_ONCE)):
        yield some


def _of_inspections(connection: Connection, some: tuple[str, ...]) -> Iterator[dict[str, Any]]:
    within = KINDS[Item].c.inspection_id.in_(some)
    items = _found(connection, Item, select(KINDS[Item]).where(within))
    legs = {leg.id: leg for leg in _found(connection, LegEntry, select(KINDS[LegEntry]))}
    about = {kind: _by_item(connection, kind, within) for kind in (Try, HandReading, Discrepancy)}
    signed_query = (
        select(KINDS[Confirmation])
        .join(KINDS[Try], KINDS[Confirmation].c.try_id == KINDS[Try].c.id)
        .join(KINDS[Item], KINDS[Try].c.item_id == KINDS[Item].c.id)
        .where(within)
    )
    signed: dict[str, Signed] = {
        one.try_id: Signed(one.confirmer_id, one.signed_at)
        for one in _found(connection, Confirmation, signed_query)
    } | _looked(connection, some)
    for item in items:
        of_item = {kind: found.get(item.id, []) for kind, found in about.items()}
        yield from _of_item(item, legs[item.leg_id], of_item, signed)


def _looked(connection: Connection, some: tuple[str, ...]) -> dict[str, Signed]:
    """Who signed a second look at an answer that stands on a photo, and when, by the photo's try."""
    looks, signatures = KINDS[Look], KINDS[Signature]
    within = looks.c.inspection_id.in_(some)
    signed = connection.execute(
        select(looks.c.id, signatures.c.at)
        .join(signatures, looks.c.signature_id == signatures.c.id)
        .where(within)
    )
    at = {row.id: row.at for row in signed}
    answers_query = select(KINDS[Answer]).where(KINDS[Answer].c.inspection_id.in_(some))
    tries_of = {one.id: _stands_on(one) for one in _found(connection, Answer, answers_query)}
    return {
        try_id: Signed(one.person_id, at[one.id])
        for one in _found(connection, Look, select(looks).where(within))
        if one.id in at
        for try_id in tries_of[one.answer_id]
    }


def _stands_on(answer: Answer) -> tuple[str, ...]:
    """The tries that an answer stands on: a tire's photo, all searched photos; none without a photo."""
    reading = answer.reading or {}
    return tuple(map(str, reading.get("tries") or filter(None, [reading.get("try_id")])))


def _found(connection: Connection, kind: type[T], query: Select[Any]) -> list[T]:
    return [rows.entry(kind, row) for row in connection.execute(query)]


def _by_item(connection: Connection, kind: type[Any], within: ColumnElement[bool]) -> dict[str, list[Any]]:
    query = select(KINDS[kind]).join(KINDS[Item], KINDS[kind].c.item_id == KINDS[Item].c.id).where(within)
    found: dict[str, list[Any]] = {}
    for one in _found(connection, kind, query):
        found.setdefault(one.item_id, []).append(one)
    return found


def _of_item(
    item: Item, leg: LegEntry, about: Mapping[type[Any], list[Any]], signed: Mapping[str, Signed]
) -> Iterator[dict[str, Any]]:
    """What everybody may see of an item: settled tries, and hands once nobody has to read blind."""
    common = {
        "inspection_id": item.inspection_id,
        "item_id": item.id,
        "leg_id": leg.id,
        "aircraft_id": leg.aircraft_id,
        "position": leg.position,
        "key": item.key,
    }
    said = [one.text for one in about[Discrepancy]]
    for one in about[Try]:
        if one.state is TryState.SETTLED and one.sent_at is not None:
            yield common | _of_try(one, one.sent_at, signed.get(one.id), said)
    if item.state in _SETTLED_BY_HAND:
        for hand in about[HandReading]:
            yield common | {
                "id": hand.id,
                "kind": FoundKind.HAND,
                "at": hand.at,
                "person_id": hand.person_id,
                "second_id": None,
                "verdict": FoundVerdict.NONE,
                "grade": None,
                "photo": None,
                "value": hand.value_mm,
                "expanded_u": hand.expanded_u_mm,
                "unit": "mm",
                "words": words_of(item.key, hand.instrument, *said),
            }


def _of_try(one: Try, sent_at: datetime, signed: Signed | None, said: list[str]) -> dict[str, Any]:
    result = one.result or {}
    # Their codes only: the sentences are the same on thousands of photos.
    told = [note.get("code", "") for note in result.get("notes", ())]
    return {
        "id": one.id,
        "kind": FoundKind.PHOTO,
        "at": sent_at if signed is None else signed.at,
        "person_id": one.performer_id,
        "second_id": None if signed is None else signed.person_id,
        "verdict": _verdict(result),
        "grade": _grade(result),
        "photo": one.photo,
        "value": result.get("value"),
        "expanded_u": result.get("expanded_uncertainty"),
        "unit": result.get("unit"),
        "words": words_of(result.get("name", ""), one.photo_name, result.get("reason") or "", *told, *said),
    }


def words_of(*texts: str) -> str:
    """Return texts as they are looked through: one after the other, without case, at most so many letters."""
    return " ".join(filter(None, texts)).replace("_", " ").casefold()[:_MOST_LETTERS]


def _verdict(result: Mapping[str, Any]) -> FoundVerdict:
    if result.get("status") == "searched":
        return FoundVerdict.NONE
    if result.get("status") != "reading":
        return FoundVerdict.REFUSED
    return FoundVerdict(result.get("verdict") or FoundVerdict.NONE)


def _grade(result: Mapping[str, Any]) -> str | None:
    """The gravest grade of the flags on a photo; the later a grade is in the alphabet, the graver."""
    flags = result.get("flags") or (result.get("evidence") or {}).get("flags") or ()
    grades = [str(flag["grade"])[:20] for flag in flags if isinstance(flag, dict) and flag.get("grade")]
    return max(grades, default=None)
