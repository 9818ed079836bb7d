"""Did the archive's key sign this chain: every signature of a head, met on the way along the chain."""

from collections.abc import Iterator
from typing import Any

from sqlalchemy import Connection, Row, select

from app.archive.chain import ARCHIVE, Head
from app.archive.keys import Signer, is_signed
from app.archive.tables import archive_keys, head_signatures
from app.archive.verify.found import Found
from app.inspection.canonical import sha256


class HeadSignatures:
    """The signatures in their order; `meet` each event of the archive's chain, then `end`.

    Parameters
    ----------
    kept : Signer or None
        The key that is kept beside the archive, where it is there.
    """

    def __init__(self, connection: Connection, kept: Signer | None, found: Found) -> None:
        query = select(head_signatures).order_by(head_signatures.c.number)
        self._rows: Iterator[Row[Any]] = iter(connection.execution_options(yield_per=500).execute(query))
        self._tabled = {row.id: row.public for row in connection.execute(select(archive_keys))}
        self._next = next(self._rows, None)
        self._found = found
        self._kept = kept
        self._good = "with its first event"
        self._covered = 0
        self._bad: list[str] = []

    def meet(self, head: Head, at: str) -> None:
        """Check the signatures up to this event."""
        while self._next is not None and self._next.number <= head.number:
            self._check(self._next, head, at)
            self._next = next(self._rows, None)

    def end(self, last: Head) -> None:
        """Check what is left: signatures of events that are gone, events that nothing signed, the keys."""
        while self._next is not None:
            self._bad.append(f"event {self._next.number} was signed and is gone")
            self._covered = self._next.number
            self._next = next(self._rows, None)
        if self._bad:
            more = f" (and so on, {len(self._bad)} signatures in all)" if len(self._bad) > 1 else ""
            self._found.add(f"chain {ARCHIVE}", self._bad[0] + more, self._good)
        if self._covered < last.number:
            first = self._covered + 1
            self._found.add(
                f"chain {ARCHIVE}",
                f"nothing signs its events {first} to {last.number}",
                f"with event {first}",
            )
        self._check_keys()

    def _check(self, row: Row[Any], head: Head, at: str) -> None:
        self._found.count("signatures")
        self._covered = row.number
        wrong = self._wrong(row, head)
        if wrong:
            self._bad.append(f"event {row.number}: {wrong}")
        elif not self._bad:
            self._good = f"after event {row.number} of {at}, the last whose signature fits"

    def _wrong(self, row: Row[Any], head: Head) -> str:
        keys = self._found.keys
        if row.number != head.number:
            return "it was signed and is gone"
        if row.hash != head.hash:
            return "it is not the event that was signed"
        if not keys or keys[-1].key_id != row.key_id:
            return "it is signed with a key that was not the archive's then"
        if not is_signed(keys[-1].public, row.signature, row.number, row.hash):
            return "its signature is not by the archive's key"
        return ""

    def _check_keys(self) -> None:
        """The keys that events tell of are those in the table, and the newest is the one that is kept."""
        keys = self._found.keys
        told = {one.key_id: one.public for one in keys}
        for id_ in sorted(told.keys() | self._tabled.keys()):
            public = told.get(id_)
            if public is None or public != self._tabled.get(id_) or _name_of(public) != id_:
                self._found.add(f"archive_keys {id_}", "it is not the key that the events tell of")
        if self._kept is None:
            self._found.notes.append(
                "The archive's own key is not here, so signatures were checked with the public key that the "
                "archive itself holds: give an anchor to be sure that it is the same archive."
            )
        elif keys and keys[-1].key_id != self._kept.key_id:
            self._found.add(
                f"chain {ARCHIVE}",
                "it is signed with another key than the one that is kept beside the archive",
                f"with event {keys[-1].number}, which enters that key, or before",
            )
        if len(keys) > 1:
            numbers = ", ".join(str(one.number) for one in keys[1:])
            self._found.notes.append(f"The archive's key was replaced with event {numbers} of its chain.")


def _name_of(public: str) -> str:
    """Return what a public key is named by; nothing for what is none."""
    try:
        return sha256(bytes.fromhex(public))
    except ValueError:
        return ""
