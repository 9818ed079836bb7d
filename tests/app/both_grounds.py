"""The fixture `house` on both grounds: files, and servers where they are installed.

A folder's conftest.py that imports these runs its tests once on each.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from sqlalchemy import select

from app.archive.tables import metadata
from tests.app.records_house import House, open_house
from tests.services.ground import Files, Ground, Servers, missing, servers

Grounds = Files | Servers


@pytest.fixture(scope="session", params=["files", "servers"])
def grounds(request: pytest.FixtureRequest) -> Iterator[Grounds]:
    """Where new archives can be made."""
    yield from running(request.param)


def running(kind: str) -> Iterator[Grounds]:
    """Yield the ground of this kind, its servers running; skip the test where they are not installed."""
    if kind == "files":
        yield Files()
        return
    lacking = missing()
    if lacking:
        pytest.skip(lacking)
    with servers() as running:
        yield running


@pytest.fixture(scope="session")
def empty_ground(grounds: Grounds, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Ground]:
    """The ground of a house in which nothing has happened yet, to be copied."""
    ground = grounds.new(tmp_path_factory.mktemp("house") / "home")
    open_house(ground).archive.close()
    yield ground
    grounds.drop(ground)


@pytest.fixture
def ground(grounds: Grounds, empty_ground: Ground, tmp_path: Path) -> Iterator[Ground]:
    """A copy of the empty ground, for one test."""
    copied = grounds.copy(empty_ground, tmp_path / "home")
    yield copied
    grounds.drop(copied)


@pytest.fixture
def house(ground: Ground) -> Iterator[House]:
    """A new house on a ground of its own."""
    opened = open_house(ground)
    yield opened
    opened.archive.close()


def all_bytes(house: House) -> bytes:
    """Everything that an archive keeps, wherever: its folder's files, and the rows of a server."""
    files = b"".join(path.read_bytes() for path in house.home.rglob("*") if path.is_file())
    if not house.ground.database:
        return files
    with house.archive.records.look() as r:
        rows = [
            repr(tuple(row)).encode()
            for table in metadata.sorted_tables
            for row in r.connection.execute(select(table))
        ]
    return files + b"".join(rows)
