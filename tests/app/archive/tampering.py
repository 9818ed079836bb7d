"""Changes behind the program's back, by one who may write to database and photos, as another program would."""

import json
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any

import s3fs
from sqlalchemy import Connection, Row, create_engine, delete, insert, select, text, update

from app.archive import chain
from app.archive.archive import DATABASE
from app.archive.keys import Signer
from app.archive.store import name_of
from app.archive.tables import archive_keys, events, head_signatures, heads
from app.inspection.canonical import canonical
from tests.app.records_house import House
from tests.services.ground import Ground

_CONSTRAINTS = """
    SELECT conrelid::regclass::text AS tabled, conname FROM pg_constraint
    WHERE contype IN ('c', 'f') AND connamespace = 'public'::regnamespace
"""


@contextmanager
def unguarded(house: House) -> Iterator[Connection]:
    """A transaction without constraints in the way."""
    if house.ground.database:
        with house.archive.engine.begin() as connection:
            for row in connection.execute(text(_CONSTRAINTS)).all():
                connection.execute(text(f'ALTER TABLE {row.tabled} DROP CONSTRAINT "{row.conname}" CASCADE'))
            yield connection
        return
    engine = create_engine(f"sqlite:///{house.home / DATABASE}")
    with engine.begin() as connection:
        connection.execute(text("PRAGMA ignore_check_constraints = ON"))
        yield connection
    engine.dispose()


def behind(house: House, *statements: Any) -> None:
    """Run these."""
    with unguarded(house) as connection:
        for statement in statements:
            connection.execute(statement)


def chain_of(house: House, name: str) -> list[Row[Any]]:
    """The events of a chain as they are."""
    query = select(events).where(events.c.chain == name).order_by(events.c.number)
    with house.archive.records.look() as r:
        return list(r.connection.execute(query))


def rewrite(house: House, name: str, bodies: Sequence[bytes]) -> dict[int, str]:
    """Make a chain of these bodies, every hash and the head fitting; return the new hashes by number."""
    previous, rows = chain.GENESIS, []
    for number, body in enumerate(bodies, 1):
        hash_ = chain.link(previous, body)
        rows.append({"chain": name, "number": number, "previous": previous, "hash": hash_, "body": body})
        previous = hash_
    behind(
        house,
        delete(events).where(events.c.chain == name),
        *(insert(events).values(row) for row in rows),
        update(heads).where(heads.c.chain == name).values(number=len(rows), hash=previous),
    )
    return {row["number"]: row["hash"] for row in rows}


def rewrite_all(house: House, name: str, bodies: Sequence[bytes]) -> None:
    """Rewrite an inspection's chain, and the archive's to its end so that it holds the new heads."""
    hashes = rewrite(house, name, bodies)
    own = []
    for row in chain_of(house, chain.ARCHIVE):
        told = json.loads(bytes(row.body))
        if told["kind"] == "head" and told["inspection"] == name:
            told["data"]["hash"] = hashes[told["data"]["number"]]
        own.append(canonical(told))
    rewrite(house, chain.ARCHIVE, own)


def sign_all(house: House, signer: Signer, public_too: bool) -> None:
    """Sign every head anew with another key; `public_too` puts that key in the true one's place everywhere."""
    rows = {row.number: row for row in chain_of(house, chain.ARCHIVE)}
    if public_too:
        own = []
        for row in rows.values():
            told = json.loads(bytes(row.body))
            if told["kind"] == chain.KEY_ENTERED:
                told["data"] = {"key": signer.key_id, "public": signer.public}
            own.append(canonical(told))
        hashes = rewrite(house, chain.ARCHIVE, own)
        behind(
            house,
            update(archive_keys).values(id=signer.key_id, public=signer.public),
            update(head_signatures).values(key_id=signer.key_id),
        )
    else:
        hashes = {number: row.hash for number, row in rows.items()}
    with house.archive.records.look() as r:
        numbers = list(r.connection.execute(select(head_signatures.c.number)).scalars())
    behind(
        house,
        *(
            update(head_signatures)
            .where(head_signatures.c.number == number)
            .values(hash=hashes[number], signature=signer.sign(number, hashes[number]))
            for number in numbers
        ),
    )


def change_file(house: House, sha: str, change: Any) -> None:
    """Put what `change` makes of a file's bytes in their place; None removes it."""
    put_raw(house.ground, name_of(sha), change(house.archive.photos.get(sha)))


def put_raw(ground: Ground, name: str, data: bytes | None) -> None:
    """Write a file of the photo store past the program; None removes it."""
    if ground.photos:
        files = s3fs.S3FileSystem(
            key=ground.key, secret=ground.secret, endpoint_url=ground.endpoint, use_listings_cache=False
        )
        path = f"{ground.photos.removeprefix('s3://')}/{name}"
        files.rm_file(path) if data is None else files.pipe_file(path, data)
        return
    file = ground.home / "photos" / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.unlink() if data is None else file.write_bytes(data)
