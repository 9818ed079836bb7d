"""The archive's commands as a person types them: what they say, write, and how they end."""

import json
import shutil
from pathlib import Path

import pytest

from app.inspection.canonical import sha256
from tests.app.cli_files import Ended, cli
from tests.app.record.conftest import close, fill, photo_with_place
from tests.app.record.test_export import the_folder, verified
from tests.app.records_house import PASSWORD, open_house
from tests.services.ground import Ground


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """An archive with one closed inspection and an open one, to be copied."""
    home = tmp_path_factory.mktemp("commands") / "home"
    house = open_house(Ground(home))
    close(house)
    fill(house)
    house.archive.close()
    return home


@pytest.fixture
def home(made: Path, tmp_path: Path) -> Path:
    shutil.copytree(made, tmp_path / "home")
    return tmp_path / "home"


def archive(what: str, home: Path, *more: object) -> Ended:
    return cli("archive", what, "--home", home, *more)


def ids(out: Path) -> list[str]:
    return [one["id"] for one in json.loads((out / "export.json").read_text())["inspections"]]


def test_all_are_exported_checked_and_imported_by_one_command_each(home: Path, tmp_path: Path) -> None:
    ended = archive("export", home, "--out", tmp_path / "out", "--all", "--zip")
    assert ended.status == 0
    assert "inspections 2, files byte for byte 6" in ended.out
    assert f"2 of 2: {ids(tmp_path / 'out')[1]}" in ended.err
    assert verified(tmp_path / "out").returncode == 0

    ended = archive("import", tmp_path / "other", tmp_path / "out.zip")
    assert (ended.status, "Inspections: 2 new" in ended.out) == (0, True)
    assert "Of these 1 are still open" in ended.out
    ended = archive("import", tmp_path / "other", tmp_path / "out")
    assert "2 here already. Files stored: 0." in ended.out
    assert archive("verify", tmp_path / "other").status == 0


def test_one_inspection_is_named_by_its_beginning_and_an_aircraft_by_its_registration(
    home: Path, tmp_path: Path
) -> None:
    assert archive("export", home, "--out", tmp_path / "all", "--aircraft", "ZZ-GWT").status == 0
    first, second = ids(tmp_path / "all")
    assert archive("export", home, "--out", tmp_path / "one", "--inspection", second[:6]).status == 0
    assert ids(tmp_path / "one") == [second]
    ended = archive("export", home, "--out", tmp_path / "none", "--aircraft", "ZZ-XXX")
    assert (ended.status, "there are: ZZ-GWT" in ended.err) == (2, True)
    ended = archive("export", home, "--out", tmp_path / "none", "--inspection", "zz")
    assert (ended.status, "no inspection begins with 'zz'" in ended.err) == (2, True)
    assert not (tmp_path / "none").exists()
    assert first


def test_place_and_faces_are_left_out_on_request(home: Path, tmp_path: Path) -> None:
    blank = f"{sha256(photo_with_place(2))[:12]}=0,0,9,9"
    ended = archive("export", home, "--out", tmp_path / "out", "--all", "--strip-place", "--blank", blank)
    assert (ended.status, "copies for originals 3" in ended.out) == (0, True)
    assert verified(tmp_path / "out").returncode == 0
    ended = archive("export", home, "--out", tmp_path / "no", "--all", "--blank", "face=1")
    assert (ended.status, "is not PHOTO=X,Y,W,H" in ended.err) == (2, True)


def test_a_mistyped_archive_is_not_made(tmp_path: Path) -> None:
    for what, more in (
        ("export", ("--out", tmp_path / "out", "--all")),
        ("backup", ("--out", tmp_path / "out")),
        ("delete-photos", ("--opened-before", "2030-01-01", "--dry-run")),
        ("remeasure", ("--since", "2024-01-01", "--out", tmp_path / "r")),
    ):
        assert archive(what, tmp_path / "hmoe", *more).status == 2
    assert not (tmp_path / "hmoe").exists()


def test_a_changed_export_is_not_imported_and_the_file_is_named(home: Path, tmp_path: Path) -> None:
    archive("export", home, "--out", tmp_path / "out", "--aircraft", "ZZ-GWT")
    path = next((tmp_path / "out" / "inspections").glob("*/photos/*"))
    path.write_bytes(b"other")
    ended = archive("import", tmp_path / "other", tmp_path / "out")
    assert (ended.status, ended.out) == (2, "")
    assert path.name in ended.err


def test_a_backup_is_made_verified_and_restored(home: Path, tmp_path: Path) -> None:
    ended = archive("backup", home, "--out", tmp_path / "backup")
    assert (ended.status, "The copy verifies" in ended.out) == (0, True)
    ended = archive("restore", tmp_path / "restored", "--from", tmp_path / "backup")
    assert (ended.status, "The copy verifies" in ended.out) == (0, True)
    assert archive("verify", tmp_path / "restored").status == 0
    ended = archive("restore", home, "--from", tmp_path / "backup")
    assert (ended.status, "is not empty, and nothing is written over" in ended.err) == (2, True)
    ended = archive("restore", tmp_path / "new", "--from", tmp_path / "restored" / "photos")
    assert (ended.status, "holds no backup" in ended.err) == (2, True)


def test_a_backup_of_a_damaged_archive_names_the_photo_and_ends_with_3(home: Path, tmp_path: Path) -> None:
    sha = sha256(photo_with_place(2))
    (path,) = home.rglob(f"{sha}.bin")
    path.write_bytes(b"damaged")
    ended = archive("backup", home, "--out", tmp_path / "backup")
    assert ended.status == 3
    assert f"not copied: {sha}" in ended.err
    assert "does not verify" in ended.out


def test_photos_are_deleted_with_name_reason_rule_and_password(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    archive("export", home, "--out", tmp_path / "out", "--all")
    closed, still_open = ids(tmp_path / "out")
    told = ("--who", "Inspector", "--why", "five years are over", "--rule", "4.2")
    ended = archive("delete-photos", home, "--inspection", closed[:8], "--dry-run")
    assert (ended.status, ended.out.count("would go: "), "Nothing was deleted." in ended.out) == (0, 2, True)
    ended = archive("delete-photos", home, "--inspection", closed)
    assert (ended.status, "give --who, --why and --rule" in ended.err) == (2, True)
    ended = archive("delete-photos", home, "--inspection", still_open, *told)
    assert (ended.status, "is open" in ended.err) == (2, True)
    monkeypatch.setattr("app.commands.archive_delete.asked_password", lambda name: "wrong")
    ended = archive("delete-photos", home, "--inspection", closed, *told)
    assert (ended.status, "not this person's password" in ended.err) == (2, True)
    monkeypatch.setattr("app.commands.archive_delete.asked_password", lambda name: PASSWORD)
    ended = archive("delete-photos", home, "--opened-before", "2030-01-01", *told)
    assert (ended.status, "2 files were deleted by a recorded act" in ended.out) == (0, True)
    ended = archive("verify", home)
    assert (ended.status, ended.out.count("deleted by an act: ")) == (0, 2)


def test_a_name_that_nobody_has_deletes_nothing(home: Path, tmp_path: Path) -> None:
    told = ("--who", "Nobody", "--why", "x", "--rule", "y")
    ended = archive("delete-photos", home, "--opened-before", "2030-01-01", *told)
    assert (ended.status, "there is no person 'Nobody'" in ended.err) == (2, True)
    assert archive("verify", home).status == 0


def test_an_inspection_with_a_damaged_photo_is_left_out_and_the_others_go(home: Path, tmp_path: Path) -> None:
    (path,) = home.rglob(f"{sha256(photo_with_place(2))}.bin")
    path.write_bytes(b"damaged")
    ended = archive("export", home, "--out", tmp_path / "out", "--all")
    assert (ended.status, "inspections 1" in ended.out) == (3, True)
    assert "changed or damaged" in ended.err
    assert the_folder(tmp_path / "out")
