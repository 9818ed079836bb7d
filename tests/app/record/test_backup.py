"""A backup of an archive in use, and an archive made from it; both verify, and the first one is untouched."""

import sqlite3
import threading
from pathlib import Path

import pytest

from app.archive import Archive, open_archive
from app.archive.exchange.backup import back_up
from app.errors import ArchiveError, UsageError
from app.inspection import Confirmation, Inspection, Person, Try
from tests.app.record.conftest import photo_with_place
from tests.app.records_house import House


def everything(archive: Archive) -> list[str]:
    with archive.records.look() as r:
        return sorted(repr(one) for kind in (Inspection, Try, Confirmation, Person) for one in r.all(kind))


def test_a_backup_holds_the_same_and_verifies(full: House, tmp_path: Path) -> None:
    before = everything(full.archive)
    done = back_up(full.archive, tmp_path / "backup", with_key=True)
    assert (done.photos, done.missing) == (4, {})
    with open_archive(tmp_path / "backup") as copy:
        assert copy.verify().faults == ()
        assert everything(copy) == before
        assert copy.head() == full.archive.head()
    assert everything(full.archive) == before


def test_an_archive_restored_from_it_goes_on_with_its_key(full: House, tmp_path: Path) -> None:
    back_up(full.archive, tmp_path / "backup", with_key=True)
    with open_archive(tmp_path / "backup") as backup:
        back_up(backup, tmp_path / "restored", with_key=True)
    with open_archive(tmp_path / "restored") as restored:
        with restored.records.begin() as work:
            (inspection,) = work.all(Inspection)
            work.enter("noted", None, inspection.id, data={"text": "after the restoring"})
        assert restored.verify().faults == ()
        assert restored.head().number > full.archive.head().number
        for number in (1, 2):
            assert photo_with_place(number) in {restored.photos.get(sha) for sha in _photos(restored)}


def _photos(archive: Archive) -> set[str]:
    return {one.sha for one in archive.photos.stored() if one.sha}


def test_without_the_key_it_can_be_read_and_verified_and_nothing_entered(full: House, tmp_path: Path) -> None:
    back_up(full.archive, tmp_path / "backup", with_key=False)
    with open_archive(tmp_path / "backup") as copy:
        assert copy.verify().faults == ()
        with pytest.raises(ArchiveError, match="key is not here"), copy.records.begin() as work:
            work.enter("noted", None, None, data={})


def test_the_key_in_a_backup_is_for_its_owner_alone(full: House, tmp_path: Path) -> None:
    back_up(full.archive, tmp_path / "backup", with_key=True)
    assert (tmp_path / "backup" / "archive.key").stat().st_mode & 0o077 == 0
    assert (tmp_path / "backup").stat().st_mode & 0o077 == 0


def test_another_backup_into_the_same_folder_copies_what_is_new(full: House, tmp_path: Path) -> None:
    back_up(full.archive, tmp_path / "backup", with_key=True)
    with open_archive(tmp_path / "backup") as copy:
        assert copy.verify().faults == ()
    full.measured(88.9, full.supporting)
    done = back_up(full.archive, tmp_path / "backup", with_key=True)
    assert done.photos == 2
    with open_archive(tmp_path / "backup") as copy:
        assert copy.verify().faults == ()
        assert copy.head() == full.archive.head()


def test_people_keep_their_passwords_and_sign_in_again(full: House, tmp_path: Path) -> None:
    token = full.people.sign_in("Mechanic", "only for the tests")
    back_up(full.archive, tmp_path / "backup", with_key=True)
    with open_archive(tmp_path / "backup") as copy:
        assert copy.people.password_hash(full.mechanic.id) == full.archive.people.password_hash(
            full.mechanic.id
        )
    file = sqlite3.connect(tmp_path / "backup" / "archive.sqlite3")
    assert file.execute("SELECT count(*) FROM sessions").fetchone() == (0,)
    file.close()
    assert full.people.person_of(token) == full.mechanic


def test_a_backup_while_others_write_is_one_consistent_picture(full: House, tmp_path: Path) -> None:
    ending = threading.Event()
    wrong: list[BaseException] = []

    def write() -> None:
        try:
            while not ending.is_set():
                full.measured(88.9, full.supporting)
        except BaseException as error:
            wrong.append(error)

    writer = threading.Thread(target=write)
    writer.start()
    try:
        for number in range(5):
            back_up(full.archive, tmp_path / f"backup-{number}", with_key=True)
    finally:
        ending.set()
        writer.join()
    assert wrong == []
    heads = []
    for number in range(5):
        with open_archive(tmp_path / f"backup-{number}") as copy:
            assert copy.verify().faults == ()
            heads.append(copy.head().number)
    assert heads == sorted(heads)


def test_a_damaged_photo_does_not_keep_the_others_from_being_backed_up(full: House, tmp_path: Path) -> None:
    sha = sorted(_photos(full.archive))[0]
    full.archive.photos.remove(sha)
    done = back_up(full.archive, tmp_path / "backup", with_key=True)
    assert (done.photos, done.missing) == (3, {sha: "the file is gone"})


def test_a_folder_with_something_else_in_it_is_refused(full: House, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letters.txt").write_text("mine")
    with pytest.raises(UsageError, match="holds something else"):
        back_up(full.archive, tmp_path / "mine", with_key=True)
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letters.txt"]


def test_the_archive_s_own_folder_is_refused(full: House) -> None:
    with pytest.raises(UsageError, match="archive's own folder"):
        back_up(full.archive, full.home, with_key=True)


def test_a_backup_that_fails_leaves_the_earlier_one_whole(
    full: House, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    back_up(full.archive, tmp_path / "backup", with_key=True)
    head = full.archive.head()
    full.measured(88.9, full.supporting)
    monkeypatch.setattr("app.archive.photos.PhotoFolder.put", _no_room)
    with pytest.raises(ArchiveError, match="an earlier one in it is still whole"):
        back_up(full.archive, tmp_path / "backup", with_key=True)
    with open_archive(tmp_path / "backup") as copy:
        assert copy.head() == head
        assert copy.verify().faults == ()


def _no_room(self: object, data: bytes) -> str:
    raise OSError(28, "No space left on device")
