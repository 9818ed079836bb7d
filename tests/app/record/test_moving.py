"""An archive moved to servers: everything is there, verifies, and goes on; the old one is as it was."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from sqlalchemy import select

from app.archive import open_archive
from app.archive.exchange.moving import copy_archive, open_target
from app.archive.tables import metadata
from app.errors import Conflict
from tests.app.both_grounds import Grounds
from tests.app.cli_files import cli
from tests.app.record.conftest import fill
from tests.app.records_house import House, open_house
from tests.services.ground import Ground, missing, servers


@pytest.fixture(scope="module")
def shop() -> Iterator[Grounds]:
    """A database server and a bucket to move to."""
    lacking = missing()
    if lacking:
        pytest.skip(lacking)
    with servers() as running:
        yield running


@pytest.fixture
def target(shop: Grounds, tmp_path: Path) -> Iterator[Ground]:
    made = shop.new(tmp_path / "home")
    yield made
    shop.drop(made)


@pytest.fixture
def full(tmp_path: Path) -> Iterator[House]:
    house = fill(open_house(Ground(tmp_path / "home")))
    yield house
    house.archive.close()


def rows(archive: object) -> dict[str, int]:
    with archive.records.look() as r:  # type: ignore[attr-defined]
        return {
            table.name: len(list(r.connection.execute(select(table)))) for table in metadata.sorted_tables
        }


def test_everything_is_there_and_verifies_and_the_source_is_untouched(full: House, target: Ground) -> None:
    before, head = rows(full.archive), full.archive.head()
    with open_target(full.archive, target.database, target.photos, target.access) as new:
        done = copy_archive(full.archive, new.engine, new.photos)
        assert (done.photos, done.missing, done.head) == (4, {}, head)
        found = new.verify()
        assert (found.faults, found.orphans) == ((), ())
        assert rows(new) == before
    assert (rows(full.archive), full.archive.head()) == (before, head)


def test_people_go_on_in_the_new_place_with_the_same_key(full: House, target: Ground) -> None:
    with open_target(full.archive, target.database, target.photos, target.access) as new:
        copy_archive(full.archive, new.engine, new.photos)
    full.archive.close()
    moved = open_house(replace(target, home=full.home))
    assert moved.archive.head() == full.archive.head()
    moved.measured(88.9, moved.supporting)
    assert moved.archive.verify().faults == ()
    moved.archive.close()


def test_a_move_that_was_stopped_is_taken_up_and_sends_no_photo_twice(
    full: House, target: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_target(full.archive, target.database, target.photos, target.access) as new:
        with monkeypatch.context() as patched:
            patched.setattr("app.archive.exchange.moving._copy_tables", _stop)
            with pytest.raises(KeyboardInterrupt):
                copy_archive(full.archive, new.engine, new.photos)
        assert copy_archive(full.archive, new.engine, new.photos).photos == 0
        assert new.verify().faults == ()
        again = copy_archive(full.archive, new.engine, new.photos)
        assert (again.was_there, again.rows, again.photos) == (True, 0, 0)


def _stop(*_: object) -> int:
    raise KeyboardInterrupt


def test_the_command_moves_verifies_and_says_how_to_go_on(
    full: House, target: Ground, monkeypatch: pytest.MonkeyPatch
) -> None:
    full.archive.close()
    told = {"ENDPOINT": target.endpoint, "KEY": target.key, "SECRET": target.secret}
    for name, value in told.items():
        monkeypatch.setenv(f"GEARWITNESS_PHOTOS_{name}", value)
    addresses = ("--to-database", target.database, "--to-photos", target.photos)
    ended = cli("archive", "move", "--home", full.home, *addresses)
    assert ended.status == 0, ended.err
    assert "4 photos were copied; the archive here is as it was" in ended.out
    assert "The new archive verifies." in ended.out
    assert target.secret not in ended.out + ended.err
    monkeypatch.setenv("GEARWITNESS_DATABASE", target.database)
    monkeypatch.setenv("GEARWITNESS_PHOTOS", target.photos)
    assert cli("archive", "verify", "--home", full.home).status == 0
    ended = cli("archive", "move", "--home", full.home, *addresses)
    assert (ended.status, "is in this database already" in ended.err) == (2, True)


def test_a_database_with_another_archive_is_refused(full: House, target: Ground, tmp_path: Path) -> None:
    with open_archive(
        tmp_path / "other", database=target.database, photos=target.photos, access=target.access
    ):
        pass
    with (
        open_target(full.archive, target.database, target.photos, target.access) as new,
        pytest.raises(Conflict, match="holds another archive"),
    ):
        copy_archive(full.archive, new.engine, new.photos)
