"""Place and faces are taken from copies only, and a copy says that it is one."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app.errors import UsageError
from app.inspection.canonical import sha256
from app.record.copies import Wishes, read_blanks
from tests.app.record.conftest import SIZE, photo_with_place
from tests.app.record.test_export import exported, record_of, the_folder, verified
from tests.app.records_house import House
from vision.errors import PhotoError
from vision.overlay.copies import bare_copy
from vision.photo import read_photo


def test_a_copy_carries_nothing_of_the_place_and_the_camera_s_number() -> None:
    original = photo_with_place(1)
    assert b"SERIAL-4711" in original
    assert Image.open(io.BytesIO(original)).getexif().get_ifd(0x8825)
    copy = bare_copy(original, "ab" * 32)
    assert b"SERIAL-4711" not in copy
    assert b"not for others" not in copy
    exif = Image.open(io.BytesIO(copy)).getexif()
    assert not exif.get_ifd(0x8825)
    assert set(exif) <= {0x010E, 0x010F, 0x0110, 0x0131}


def test_a_copy_says_that_it_is_one_and_of_what() -> None:
    said = Image.open(io.BytesIO(bare_copy(photo_with_place(1), "ab" * 32))).getexif()[0x010E]
    assert said == f"Copy, not the original. Original: SHA-256 {'ab' * 32}. Removed: place."


def test_a_copy_stands_upright_where_the_original_is_turned() -> None:
    exif = Image.Exif()
    exif[0x0112] = 6
    stream = io.BytesIO()
    Image.new("RGB", (64, 48), (200, 0, 0)).save(stream, "JPEG", exif=exif)
    assert Image.open(io.BytesIO(bare_copy(stream.getvalue(), "ab" * 32))).size == (48, 64)


def test_what_is_outlined_is_grey_and_the_rest_is_as_it_was() -> None:
    original = photo_with_place(5)
    copy = read_photo(bare_copy(original, "ab" * 32, [(16, 8, 16, 16)])).pixels.astype(int)
    assert np.abs(copy[10:22, 18:30] - 128).max() <= 6
    assert np.abs(copy[32:, :] - read_photo(original).pixels[32:, :]).max() <= 4


def test_a_rectangle_beyond_the_edge_is_cut_and_one_outside_is_refused() -> None:
    wide, high = SIZE
    assert bare_copy(photo_with_place(1), "ab" * 32, [(-5, -5, 20, 20), (wide - 3, high - 3, 50, 50)])
    with pytest.raises(PhotoError, match=f"covers nothing of a photo of {wide} x {high} px"):
        bare_copy(photo_with_place(1), "ab" * 32, [(wide, 0, 10, 10)])


def test_an_export_without_place_holds_no_original_and_names_its_hash(full: House, tmp_path: Path) -> None:
    done = exported(full, tmp_path / "out", Wishes(place=True))
    assert (done.photos, done.copies) == (2, 2)
    everything = b"".join(path.read_bytes() for path in (tmp_path / "out").rglob("*") if path.is_file())
    assert b"SERIAL-4711" not in everything
    for number in (1, 2):
        sha = sha256(photo_with_place(number))
        file = record_of(tmp_path / "out")["files"][sha]
        assert (file["state"], file["removed"]) == ("copy", "place")
        copy = the_folder(tmp_path / "out") / file["path"]
        assert sha.encode() in copy.read_bytes()
    ended = verified(tmp_path / "out")
    assert ended.returncode == 0
    assert "there is a copy only (place removed)" in ended.stdout
    page = (the_folder(tmp_path / "out") / "index.html").read_text()
    assert "is not in this export" in page


def test_the_annotated_copy_of_a_blanked_photo_is_left_out_because_it_shows_the_face(
    full: House, tmp_path: Path
) -> None:
    sha = sha256(photo_with_place(2))
    wishes = Wishes(blank={sha[:12]: ((0, 0, 8, 8),)})
    done = exported(full, tmp_path / "out", wishes)
    assert (done.photos, done.copies) == (2, 1)
    states = sorted(file["state"] for file in record_of(tmp_path / "out")["files"].values())
    assert states == ["copy", "here", "here", "withheld"]
    assert verified(tmp_path / "out").returncode == 0


def test_a_rectangle_for_no_photo_or_for_several_is_refused(full: House, tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="does not begin the SHA-256 of one photo"):
        exported(full, tmp_path / "out", Wishes(blank={"0" * 12: ((0, 0, 8, 8),)}))
    assert not (tmp_path / "out").exists()


def test_a_photo_that_is_none_is_not_given_out_instead(house: House, tmp_path: Path) -> None:
    house.sent(88.9)
    ((_, why),) = exported(house, tmp_path / "out", Wishes(place=True)).left_out
    assert "no copy could be made" in why


@pytest.mark.parametrize(
    "told",
    ["abc=1,2,3,4", "0123456789=1,2,3", "0123456789=1,2,3,-4", "0123456789 1,2,3,4", "XYZ456789=1,2,3,4"],
)
def test_a_rectangle_told_wrong_is_refused_with_an_example(told: str) -> None:
    with pytest.raises(UsageError, match="is not PHOTO=X,Y,W,H"):
        read_blanks([told])


def test_several_rectangles_on_one_photo_are_kept() -> None:
    assert read_blanks(["0123456789=1,2,3,4", "0123456789=5,6,7,8"]) == {
        "0123456789": ((1, 2, 3, 4), (5, 6, 7, 8))
    }
