"""Do the chains follow event by event, and does the archive's chain hold their heads."""

import json
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, Row, func, select

from app.archive import chain
from app.archive.replay import again, digest, file_columns
from app.archive.tables import events, heads
from app.archive.verify.anchors import Anchors
from app.archive.verify.found import Entered, Found, Key, Progress, Signed, Tell
from app.archive.verify.heads import HeadSignatures
from app.inspection.canonical import sha256
from app.inspection.exchange import PHOTO_DELETED

_FILES = file_columns()
_NEVER = 1 << 62
_EVERY = 500


class _Way:
    """One chain followed from its first event on; keeps up to where it is as it was entered."""

    def __init__(self, name: str, found: Found) -> None:
        self.name = name
        self.last = chain.Head(0, chain.GENESIS)
        self._found = found
        self._good = "with its first event"
        self._is_good = True

    def fault(self, where: str, what: str) -> None:
        """Keep a fault; all of a chain's begin where its first did."""
        self._is_good = False
        self._found.add(where, what, self._good)

    def follow(self, row: Row[Any]) -> tuple[str, dict[str, Any] | None]:
        """Check one event and go on to it; return how it is named, and what it tells."""
        where = f"event {row.number} of chain {self.name}"
        if row.number != self.last.number + 1:
            self.fault(where, f"it follows event {self.last.number}: what was between is gone")
        elif row.previous != self.last.hash:
            self.fault(where, "it does not follow from the event before it")
        if _link(row.previous, row.body) != row.hash:
            self.fault(where, "its bytes do not have its hash: they were changed")
        self.last = chain.Head(row.number, row.hash)
        told = self._told(row, where)
        if self._is_good and told is not None:
            self._good = f"after event {row.number} of {told.get('at')}, which is as it was entered"
        return where, told

    def _told(self, row: Row[Any], where: str) -> dict[str, Any] | None:
        try:
            told = json.loads(row.body)
            if not (isinstance(told, dict) and isinstance(told["data"], dict)):
                msg = "an event is an object that holds data"
                raise TypeError(msg)
            if again(told) != bytes(row.body):
                self.fault(where, "its bytes are not in the canonical form")
        except (ValueError, TypeError, KeyError) as error:
            self.fault(where, f"its bytes are no event ({error!r})")
            return None
        return told


def walk_chains(
    connection: Connection, found: Found, signatures: HeadSignatures, anchors: Anchors, tell: Tell
) -> None:
    """Follow the archive's chain, then every inspection's, and compare their ends."""
    total = connection.execute(select(func.count()).select_from(events)).scalar_one()

    def counted(rows: Iterable[Row[Any]]) -> Iterator[Row[Any]]:
        for row in rows:
            if found.count("events") % _EVERY == 0:
                tell(Progress("chains", found.checked["events"], total))
            yield row

    streamed = connection.execution_options(yield_per=_EVERY)
    own = select(events).where(events.c.chain == chain.ARCHIVE).order_by(events.c.number)
    _walk_archive(counted(streamed.execute(own)), found, signatures, anchors)
    others = select(events).where(events.c.chain != chain.ARCHIVE).order_by(events.c.chain, events.c.number)
    for name, rows in groupby(counted(streamed.execute(others)), key=lambda row: str(row.chain)):
        _walk_inspection(name, rows, found, anchors)
    tell(Progress("chains", total, total))
    _compare_ends(connection, found)


def _walk_archive(
    rows: Iterable[Row[Any]], found: Found, signatures: HeadSignatures, anchors: Anchors
) -> None:
    way = _Way(chain.ARCHIVE, found)
    at = ""
    for row in rows:
        where, told = way.follow(row)
        if told is not None:
            at = str(told.get("at"))
            _guarded(_archive_event, row, where, told, way, found)
        signatures.meet(way.last, at)
        anchors.meet(chain.ARCHIVE, way.last, at)
    signatures.end(way.last)
    found.ends[chain.ARCHIVE] = way.last


def _walk_inspection(name: str, rows: Iterable[Row[Any]], found: Found, anchors: Anchors) -> None:
    way = _Way(name, found)
    entered = found.entered.get(name, Entered([], [], []))
    fits, differs = "", ""
    for row in rows:
        where, told = way.follow(row)
        at = "" if told is None else str(told.get("at"))
        here = bisect_left(entered.numbers, row.number)
        place = entered.places[here] if here < len(entered.places) else _NEVER
        if told is not None:
            _guarded(_take_in, row, where, told, way, found, place)
        if here < len(entered.numbers) and entered.numbers[here] == row.number and not differs:
            if entered.hashes[here] == row.hash:
                fits = f"after event {row.number} of {at}, which is still the one that was entered"
            else:
                differs = f"{fits or 'with its first event'}; event {row.number} is another one"
        anchors.meet(name, way.last, at)
    found.ends[name] = way.last
    if differs:
        found.differs[name] = differs


def _compare_ends(connection: Connection, found: Found) -> None:
    """Each chain ends where the table of heads and, for an inspection's, the archive's chain say."""
    tabled = {row.chain: chain.Head(row.number, row.hash) for row in connection.execute(select(heads))}
    nothing = chain.Head(0, chain.GENESIS)
    for name in sorted(tabled.keys() | found.ends.keys() | found.entered.keys()):
        ends = found.ends.get(name, nothing)
        entered, differs = found.entered.get(name), found.differs.get(name)
        says = f"it ends with event {ends.number}"
        if tabled.get(name) != ends:
            found.add(
                f"chain {name}", f"{says}, and its head was entered elsewhere", f"after event {ends.number}"
            )
        if name == chain.ARCHIVE:
            continue
        if entered is None or (entered.numbers[-1], entered.hashes[-1]) != ends:
            began = differs or f"after event {ends.number}"
            found.add(f"chain {name}", f"{says}, which the archive's chain does not say", began)
        elif differs:
            found.add(f"chain {name}", "it is not the one whose heads were entered", differs)


def _guarded(step: Any, row: Row[Any], where: str, told: dict[str, Any], way: _Way, *rest: Any) -> None:
    try:
        step(row, where, told, way, *rest)
    except (ValueError, TypeError, KeyError, AttributeError) as error:
        way.fault(where, f"its bytes are no event ({error!r})")


def _archive_event(row: Row[Any], where: str, told: dict[str, Any], way: _Way, found: Found) -> None:
    kind, data = told["kind"], told["data"]
    if kind == "head":
        entered = found.entered.setdefault(str(told["inspection"]), Entered([], [], []))
        number, hash_ = int(data["number"]), str(data["hash"])
        entered.numbers.append(number)
        entered.hashes.append(hash_)
        entered.places.append(row.number)
        return
    if kind == chain.KEY_ENTERED:
        found.keys.append(Key(row.number, str(data["key"]), str(data["public"])))
    _take_in(row, where, told, way, found, row.number)


def _take_in(row: Row[Any], where: str, told: dict[str, Any], way: _Way, found: Found, place: int) -> None:
    """Keep what the later checks need of one event."""
    kind, data = told["kind"], told["data"]
    if (told["inspection"] or chain.ARCHIVE) != row.chain:
        way.fault(where, f"it belongs to {told['inspection']}")
    if kind == "signed":
        record = data["record"]
        if sha256(again(record)) != data["signed"]:
            way.fault(where, "the record is not the one that was signed")
        found.signed[row.hash] = Signed(
            told["by"], data["signed"], _id_in(record, "try"), _id_in(record, "blind")
        )
        hand = _id_in(record, "hand")
        if hand is not None:
            found.hands[hand] = digest({k: v for k, v in record["hand"].items() if k != "id"})
    if kind == PHOTO_DELETED:
        found.deleted |= dict.fromkeys(data["photos"], where)
    found.rows.take(data, (place, row.number), f"{where} of {told['at']}")
    for one in data.get("rows", ()):
        for column in _FILES.get(one["entry"], frozenset()) & one["set"].keys():
            sha = one["set"][column]
            if sha:
                found.told_files.setdefault(sha, f"{where} of {told['at']}")


def _id_in(record: dict[str, Any], name: str) -> str | None:
    """Return the id of one part of a signed record, where it has such a part."""
    part = record.get(name)
    return str(part["id"]) if isinstance(part, dict) and "id" in part else None


def _link(previous: str, body: bytes) -> str:
    try:
        return chain.link(previous, bytes(body))
    except ValueError:
        return ""
