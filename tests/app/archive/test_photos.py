import os
import stat
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.archive.photos import PhotoFolder
from app.errors import ArchiveError, NotFound
from app.inspection.canonical import sha256


@pytest.fixture(scope="module")
def shared(tmp_path_factory: pytest.TempPathFactory) -> PhotoFolder:
    return PhotoFolder(tmp_path_factory.mktemp("photos"))


@given(st.binary(max_size=2000))
def test_bytes_come_back_as_they_were_under_the_name_of_their_hash(shared: PhotoFolder, data: bytes) -> None:
    sha = shared.put(data)
    assert (sha, shared.get(sha), shared.has(sha)) == (sha256(data), data, True)
    assert shared.path(sha).parts[-2:] == (sha[:2], f"{sha}.bin")


def test_a_file_is_synced_before_it_gets_its_name_and_its_folder_after(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    done: list[str] = []
    real_sync, real_replace = os.fsync, Path.replace

    def sync(number: int) -> None:
        done.append("sync folder" if stat.S_ISDIR(os.fstat(number).st_mode) else "sync file")
        real_sync(number)

    def replace(self: Path, target: Path) -> Path:
        done.append("rename")
        return real_replace(self, target)

    photos = PhotoFolder(tmp_path)
    monkeypatch.setattr(os, "fsync", sync)
    monkeypatch.setattr(Path, "replace", replace)
    photos.put(b"a photo")
    assert done == [
        "sync folder",
        "sync file",
        "rename",
        "sync folder",
    ]  # the first: photos/, for its new folder


def test_the_same_bytes_again_are_not_written_again(tmp_path: Path) -> None:
    photos = PhotoFolder(tmp_path)
    path = photos.path(photos.put(b"a photo"))
    before = path.stat().st_ino
    photos.put(b"a photo")
    assert path.stat().st_ino == before


def test_a_damaged_file_is_not_given_out_and_the_right_bytes_mend_it(tmp_path: Path) -> None:
    photos = PhotoFolder(tmp_path)
    sha = photos.put(b"a photo")
    photos.path(sha).write_bytes(b"a phot")
    with pytest.raises(ArchiveError, match=rf"{sha[:2]}/{sha}\.bin was changed or damaged"):
        photos.get(sha)
    photos.put(b"a photo")
    assert photos.get(sha) == b"a photo"


@pytest.mark.parametrize("name", ["", "0" * 64, "../secret", "0" * 63 + "/", "A" * 64, "0" * 64 + "\n"])
def test_only_names_of_photos_that_are_there_are_found(tmp_path: Path, name: str) -> None:
    photos = PhotoFolder(tmp_path / "photos")
    (tmp_path / "secret.bin").write_bytes(b"secret")
    assert not photos.has(name)
    with pytest.raises(NotFound, match="no photo"):
        photos.get(name)
