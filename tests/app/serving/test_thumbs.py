"""Photos made small for lists: to the same people as the photo, made once, no part of the record."""

import io
from pathlib import Path

import pytest
from PIL import Image

from app.archive import Verification
from app.serving.derived import Derived
from tests.app.records_house import reading
from tests.app.serving.served import PHOTO, Served


def test_a_thumb_is_small_upright_and_for_who_may_see_the_photo(served: Served) -> None:
    draft = served.draft()
    client = served.browser("Mechanic")
    assert client.put(f"/drafts/{draft}/photo", content=PHOTO).status_code == 200
    taken = served.house.inspections.measured(draft, reading(88.9))
    path = f"/photos/{taken.photo}/thumb"
    answer = client.get(path)
    assert answer.headers["content-type"] == "image/jpeg"
    assert "immutable" in answer.headers["cache-control"]
    with Image.open(io.BytesIO(answer.content)) as small:
        assert small.size == (240, 180)
    assert served.browser("Inspector").get(path).status_code == 403
    assert served.browser().get(path).status_code == 401
    assert client.get(f"/photos/{'0' * 64}/thumb").status_code == 404
    kept = list((served.home / "derived").rglob("*.jpg"))
    assert len(kept) == 1
    assert served.house.archive.verify() == Verification((), ())


def test_what_is_no_photo_has_no_thumb(served: Served) -> None:
    stored = served.house.stored()
    answer = served.browser("Mechanic").get(f"/photos/{stored.photo}/thumb")
    assert answer.status_code == 415
    assert "no photo" in answer.json()["error"] or "text" in answer.json()["error"]


def test_a_derived_file_is_made_once_and_again_when_it_was_thrown_away(tmp_path: Path) -> None:
    made: list[int] = []

    def make() -> bytes:
        made.append(1)
        return b"small"

    derived = Derived(tmp_path / "derived")
    name = "a" * 64
    assert [derived.get(name, "thumb", make) for _ in range(3)] == [b"small"] * 3
    assert len(made) == 1
    (kept,) = (tmp_path / "derived").rglob("*.jpg")
    kept.unlink()
    assert derived.get(name, "thumb", make) == b"small"
    assert len(made) == 2


def test_what_cannot_be_kept_is_given_all_the_same(tmp_path: Path) -> None:
    (tmp_path / "derived").write_text("no folder")
    assert Derived(tmp_path / "derived").get("b" * 64, "thumb", lambda: b"small") == b"small"


@pytest.mark.parametrize("name", ["", "../secret", "A" * 64, "a" * 63])
def test_a_name_that_is_no_hash_reaches_no_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="a photo is named by 64 hexadecimal digits"):
        Derived(tmp_path).get(name, "thumb", lambda: b"small")
