"""Photos in a folder and in a bucket: what both promise."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.archive import PhotoStore
from app.archive.bucket import Access, PhotoBucket
from app.archive.photos import PhotoFolder
from app.archive.store import Stored, name_of, sha_of
from app.errors import ArchiveError, NotFound, UsageError
from app.inspection.canonical import sha256
from tests.app.archive.tampering import put_raw
from tests.app.both_grounds import Grounds
from tests.services.ground import Ground


@pytest.fixture
def place(grounds: Grounds, tmp_path: Path) -> Iterator[Ground]:
    made = grounds.new(tmp_path / "home")
    yield made
    grounds.drop(made)


@pytest.fixture
def store(place: Ground) -> PhotoStore:
    if place.photos:
        return PhotoBucket(place.photos, place.access)
    return PhotoFolder(place.home / "photos")


@pytest.mark.parametrize("data", [b"", b"a photo", bytes(range(256)) * 5000], ids=["nothing", "few", "many"])
def test_bytes_come_back_as_they_were_under_the_name_of_their_hash(store: PhotoStore, data: bytes) -> None:
    sha = store.put(data)
    assert (sha, store.put(data), store.get(sha), store.has(sha)) == (sha256(data), sha, data, True)
    assert store.digest(sha) == sha
    assert list(store.stored()) == [Stored(name_of(sha), sha, len(data))]


def test_damaged_bytes_are_not_given_out_and_the_right_ones_mend_them(
    place: Ground, store: PhotoStore
) -> None:
    sha = store.put(b"a photo")
    put_raw(place, name_of(sha), b"a phot.")
    assert store.digest(sha) == sha256(b"a phot.")
    with pytest.raises(ArchiveError, match=rf"{sha[:2]}/{sha}\.bin was changed or damaged: restore it"):
        store.get(sha)
    store.put(b"a photo")
    assert store.get(sha) == b"a photo"


def test_what_does_not_belong_there_is_listed_by_its_name_alone(place: Ground, store: PhotoStore) -> None:
    sha = store.put(b"a photo")
    put_raw(place, "notes.txt", b"hello")
    put_raw(place, f"00/{sha}.bin", b"in the wrong place")
    assert {(one.name, one.sha) for one in store.stored()} == {
        ("notes.txt", None), (f"00/{sha}.bin", None), (name_of(sha), sha),
    }  # fmt: skip


@pytest.mark.parametrize("name", ["", "0" * 64, "../secret", "A" * 64, "0" * 64 + "\n"])
def test_only_names_of_photos_that_are_there_are_found(store: PhotoStore, name: str) -> None:
    assert not store.has(name)
    with pytest.raises(NotFound, match="no photo"):
        store.get(name)


def test_what_is_removed_is_gone_and_removing_it_again_is_nothing(store: PhotoStore) -> None:
    sha = store.put(b"a photo")
    store.remove(sha)
    store.remove(sha)
    assert (store.has(sha), store.digest(sha), list(store.stored())) == (False, None, [])


def test_a_name_and_its_hash_lead_to_each_other() -> None:
    sha = sha256(b"a photo")
    assert sha_of(name_of(sha)) == sha
    for other in (
        f"00/{sha}.bin",
        f"{sha}.bin",
        f"{sha[:2]}/{sha}",
        f"{sha[:2]}/{sha.upper()}.bin",
        "incoming/x",
    ):
        assert sha_of(other) is None


@pytest.mark.parametrize("address", ["", "photos", "s3://", "s3:///", "http://bucket/x"])
def test_what_is_no_buckets_address_is_told(address: str) -> None:
    with pytest.raises(UsageError, match="is no bucket's address: give s3://BUCKET/PREFIX"):
        PhotoBucket(address, Access())


def test_a_bucket_that_takes_other_bytes_than_it_was_given_acknowledges_nothing(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not isinstance(store, PhotoBucket):
        return
    put = store._files.pipe_file

    def half(path: str, data: bytes, **more: Any) -> None:
        put(path, data[: len(data) // 2], **more)

    monkeypatch.setattr(store._files, "pipe_file", half)
    with pytest.raises(
        ArchiveError, match="does not hold the photo as it was given, so it counts as not stored"
    ):
        store.put(b"a photo")


def test_a_server_whose_tags_are_no_md5_is_believed_by_the_bytes_it_gives_back(
    store: PhotoStore, monkeypatch: pytest.MonkeyPatch
) -> None:
    if not isinstance(store, PhotoBucket):
        return
    told = store._files.info
    monkeypatch.setattr(store._files, "info", lambda *a, **k: told(*a, **k) | {"ETag": '"encrypted-1"'})
    sha = store.put(b"a photo")
    assert store.get(sha) == b"a photo"
