"""Which files the rows of a database name, and which of them went by a recorded act."""

import json

from sqlalchemy import Connection, select

from app.archive import chain
from app.archive.tables import KINDS, events
from app.inspection.exchange import PHOTO_DELETED, PHOTO_FIELDS


def deleted(connection: Connection) -> dict[str, set[str]]:
    """Return the files that recorded acts deleted: by hash the inspections whose photos they were."""
    found: dict[str, set[str]] = {}
    query = select(events.c.body).where(events.c.chain == chain.ARCHIVE)
    for body in connection.execute(query).scalars():
        act = json.loads(body)
        if act["kind"] == PHOTO_DELETED:
            for sha in act["data"]["photos"]:
                found.setdefault(sha, set()).update(act["data"]["inspections"])
    return found


def named(connection: Connection) -> set[str]:
    """Return the hashes of the files that rows name."""
    found: set[str] = set()
    for table in KINDS.values():
        for field in PHOTO_FIELDS:
            if field in table.columns:
                query = select(table.c[field]).where(table.c[field].is_not(None)).distinct()
                found.update(connection.execute(query).scalars())
    return found
