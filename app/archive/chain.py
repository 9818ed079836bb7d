"""The append-only chain: each event carries the hash of the one before.

An event's bytes are the canonical JSON of ``{"kind", "at", "by", "inspection",
"data"}``; its hash is SHA-256(hash of the one before ‖ bytes), the first one's
predecessor being 32 zero bytes.  Each inspection has its chain; the archive has
one, into which the head of every chain that a transaction touched is entered in
that transaction; the archive's own head is then signed, in the same transaction
too, so that there is never one without the other.
"""

import hashlib
from collections.abc import Mapping
from datetime import datetime
from typing import Any, NamedTuple

from sqlalchemy import Connection, insert, select, update

from app.archive.keys import Signer
from app.archive.tables import archive_keys, events, head_signatures, heads
from app.errors import ArchiveError
from app.inspection.canonical import canonical

ARCHIVE = "archive"
GENESIS = "0" * 64
KEY_ENTERED = "key-entered"


class Head(NamedTuple):
    """Where a chain ends: the number and hash of its last event, (0, zeros) where there is none."""

    number: int
    hash: str


def link(previous: str, body: bytes) -> str:
    """Return the hash of an event in hex."""
    return hashlib.sha256(bytes.fromhex(previous) + body).hexdigest()


def body_of(
    kind: str, at: datetime, by: str | None, inspection_id: str | None, data: Mapping[str, Any]
) -> bytes:
    """Return the canonical bytes of an event."""
    return canonical({"kind": kind, "at": at, "by": by, "inspection": inspection_id, "data": data})


def lock(connection: Connection) -> None:
    """Wait until no other transaction writes: all writers hold the archive chain's head."""
    connection.execute(select(heads).where(heads.c.chain == ARCHIVE).with_for_update())


def head(connection: Connection, chain: str) -> Head:
    """Return where a chain ends."""
    row = connection.execute(select(heads.c.number, heads.c.hash).where(heads.c.chain == chain)).first()
    return Head(0, GENESIS) if row is None else Head(row.number, row.hash)


def append(connection: Connection, chain: str, body: bytes) -> str:
    """Append an event to a chain and return its hash."""
    last = head(connection, chain)
    new = Head(last.number + 1, link(last.hash, body))
    connection.execute(
        insert(events).values(chain=chain, number=new.number, previous=last.hash, hash=new.hash, body=body)
    )
    moved = connection.execute(update(heads).where(heads.c.chain == chain).values(new._asdict()))
    if moved.rowcount == 0:
        connection.execute(insert(heads).values(chain=chain, **new._asdict()))
    return new.hash


def enter_heads(connection: Connection, chains: set[str], at: datetime) -> None:
    """Enter the heads of these inspections' chains into the archive's."""
    for chain in sorted(chains):
        body = body_of("head", at, None, chain, head(connection, chain)._asdict())
        append(connection, ARCHIVE, body)


def sign_head(connection: Connection, signer: Signer | None, before: Head) -> None:
    """Sign the archive chain's head, where this transaction has moved it on from `before`.

    Raises
    ------
    ArchiveError
        The archive's key is not here.
    """
    last = head(connection, ARCHIVE)
    if last == before:
        return
    if signer is None:
        msg = (
            "The archive's key is not here, so it can be looked at and verified, and nothing can be entered: "
            "put its file back, or say where it is with the setting signing_key."
        )
        raise ArchiveError(msg)
    connection.execute(
        insert(head_signatures).values(
            number=last.number,
            hash=last.hash,
            key_id=signer.key_id,
            signature=signer.sign(last.number, last.hash),
        )
    )


def enter_key(connection: Connection, signer: Signer, at: datetime) -> None:
    """Enter a key's public half, with an event in the archive's chain; from here on it signs."""
    connection.execute(insert(archive_keys).values(id=signer.key_id, public=signer.public, entered_at=at))
    data = {"key": signer.key_id, "public": signer.public}
    append(connection, ARCHIVE, body_of(KEY_ENTERED, at, None, None, data))
