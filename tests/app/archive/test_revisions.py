"""Archives of every released revision open with this program, and hold what they held."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from alembic.script import ScriptDirectory

from app.archive import Verification, migrate
from app.archive.archive import DATABASE
from app.archive.photos import PhotoFolder
from app.inspection import ItemState, TryState
from tests.app.archive.write_revision import FOLDER, PHOTOS, put_key
from tests.app.records_house import PASSWORD, WITHIN, House, open_house, reading


def open_kept(revision: Path, home: Path) -> House:
    home.mkdir()
    with closing(sqlite3.connect(home / DATABASE)) as database:
        database.executescript(revision.read_text(encoding="utf-8"))
    put_key(home)
    photos = PhotoFolder(home / "photos")
    for data in PHOTOS:
        photos.put(data)
    return open_house(home)


KEPT = sorted(FOLDER.glob("*.sql"))


def test_an_archive_of_every_revision_is_kept() -> None:
    released = ScriptDirectory(str(Path(migrate.__file__).parent / "migrations")).walk_revisions()
    assert [path.stem for path in KEPT] == sorted(one.revision for one in released)


@pytest.mark.parametrize("revision", KEPT, ids=lambda path: path.stem)
def test_an_archive_of_an_earlier_revision_opens_verifies_and_goes_on(revision: Path, tmp_path: Path) -> None:
    house = open_kept(revision, tmp_path / "home")
    assert house.archive.verify() == Verification((), ())
    assert house.people.sign_in("Inspector", PASSWORD)
    (opened,) = house.inspections.inspections()
    states = [item.state for item in house.inspections.items(opened.id)]
    assert states == [ItemState.CLOSED, ItemState.DISCREPANCY]
    assert [row.try_.state for row in house.inspections.archive() if row.try_] == [TryState.SETTLED] * 3
    sent = house.inspections.send(house.mechanic, house.measured(reading(WITHIN)).id)
    assert house.sign(house.inspector, house.placed(sent, WITHIN)).outcome == "hand_wanted"
    assert house.archive.verify().faults == ()
    house.archive.close()
