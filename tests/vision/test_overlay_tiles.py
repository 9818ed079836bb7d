"""Pieces of the bare photo: which pixels they show, how they are scaled, what is refused."""

import io
import threading
from collections.abc import Iterator

import numpy as np
import pytest
from PIL import Image, ImageOps

from tests.scenes.photo_files import encoded, exif_block, mean_difference, raw_png, short, smooth_picture
from vision.errors import PhotoError, RegionError
from vision.overlay import tiles, upright

PICTURE = smooth_picture(120, 80)
PNG = encoded(PICTURE, "PNG")


@pytest.fixture(autouse=True)
def _nothing_kept(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(tiles, "UPRIGHT", upright.Upright(64_000_000))
    return


def decoded(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as image:
        assert image.format == "JPEG"
        return np.asarray(image)


def test_a_piece_at_its_own_size_shows_the_photo_s_own_pixels() -> None:
    shown = decoded(tiles.tile(PNG, 30, 20, 50, 40, 50))
    assert shown.shape == (40, 50, 3)
    # A piece one pixel aside differs by more than 2 levels: JPEG alone by less than 1.5.
    assert mean_difference(shown, PICTURE[20:60, 30:80]) <= 1.5
    assert mean_difference(shown, PICTURE[20:60, 31:81]) > 2
    assert mean_difference(shown, PICTURE[21:61, 30:80]) > 2


def test_a_photo_stored_on_its_side_is_measured_and_cut_upright() -> None:
    data = encoded(PICTURE, "PNG", exif=exif_block({0x0112: short(6)}))
    with Image.open(io.BytesIO(data)) as image:
        upright = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    assert tiles.facts(data) == (80, 120)
    assert mean_difference(decoded(tiles.tile(data, 5, 60, 60, 50, 60)), upright[60:110, 5:65]) <= 1.5


@pytest.mark.parametrize(("w", "h", "size"), [(120, 80, (40, 27)), (80, 80, (40, 40)), (10, 80, (5, 40))])
def test_a_smaller_piece_keeps_its_shape_and_its_longer_side_is_as_asked(
    w: int, h: int, size: tuple[int, int]
) -> None:
    shown = decoded(tiles.tile(PNG, 0, 0, w, h, 40))
    assert shown.shape[1::-1] == size


def test_a_slit_is_one_pixel_wide_at_least() -> None:
    assert decoded(tiles.tile(PNG, 0, 0, 1, 80, 8)).shape == (8, 1, 3)


def test_an_edge_lies_at_the_same_share_of_the_piece_at_every_size() -> None:
    """White from column 40 on: in a piece of columns 20 to 59 the edge is exactly its middle."""
    step = np.zeros((80, 120, 3), np.uint8)
    step[:, 40:] = 255
    data = encoded(step, "PNG")
    for out in (10, 16, 40, 120, 200):
        shown = decoded(tiles.tile(data, 20, 10, 40, 20, out)).astype(float)
        assert shown.mean() == pytest.approx(127.5, abs=1.0)
        assert shown[:, : out // 2 - max(1, out // 40)].mean() < 3
        assert shown[:, out // 2 + max(1, out // 40) :].mean() > 252


def test_a_larger_piece_has_no_brightness_that_is_not_in_the_photo() -> None:
    step = np.full((20, 20, 3), 60, np.uint8)
    step[:, 10:] = 200
    shown = decoded(tiles.tile(encoded(step, "PNG"), 0, 0, 20, 20, 400))
    assert shown.min() >= 57
    assert shown.max() <= 203


@pytest.mark.parametrize(
    "piece",
    [(-1, 0, 10, 10), (0, -1, 10, 10), (0, 0, 0, 10), (0, 0, 10, -5), (111, 0, 10, 10), (0, 71, 10, 10)],
)
def test_a_piece_outside_the_photo_is_refused_with_the_photo_s_size(piece: tuple[int, ...]) -> None:
    with pytest.raises(RegionError, match="reaches out of the photo, which is 120 × 80 px: ask for a part"):
        tiles.tile(PNG, *piece, 10)


@pytest.mark.parametrize("out", [0, -3, tiles.LONGEST_OUT_PX + 1])
def test_a_size_out_of_range_is_refused_before_the_photo_is_opened(out: int) -> None:
    with pytest.raises(RegionError, match=f"1 to {tiles.LONGEST_OUT_PX} px was expected, not out = {out}"):
        tiles.tile(b"", 0, 0, 10, 10, out)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (raw_png(np.zeros((2, 2, 3), np.uint8), 2, size=(60_000, 60_000)), "more than the 120 megapixels"),
        (b"", "the file is empty"),
        (b"no picture at all", "the file holds text and no picture"),
        (PNG[:-40], "PNG file is (cut short|damaged)"),
    ],
    ids=["bomb", "empty", "text", "cut"],
)
def test_what_is_no_photo_is_refused_by_both(data: bytes, words: str) -> None:
    with pytest.raises(PhotoError, match=words):
        tiles.facts(data)
    with pytest.raises(PhotoError, match=words):
        tiles.tile(data, 0, 0, 1, 1, 1)


def test_a_photo_is_decoded_once_for_all_its_pieces_also_from_several_threads(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls = []

    def counted(data: bytes) -> upright.Photo:
        calls.append(len(data))
        return tiles_read(data)

    tiles_read = upright.read_photo
    monkeypatch.setattr(upright, "read_photo", counted)
    threads = [threading.Thread(target=tiles.tile, args=(PNG, x, 0, 20, 20, 20)) for x in range(0, 100, 10)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert tiles.facts(PNG) == (120, 80)
    assert calls == [len(PNG)]


def test_only_the_photos_asked_for_last_are_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    kept = upright.Upright(kept_pixels=2 * 120 * 80)
    first, second, third = (encoded(smooth_picture(120, 80, seed), "PNG") for seed in (1, 2, 3))
    photo = kept.photo(first)
    kept.photo(second)
    assert kept.photo(first) is photo
    kept.photo(third)  # now the second, asked for longest ago, goes
    assert kept.photo(first) is photo
    large = encoded(smooth_picture(300, 200), "PNG")
    assert kept.photo(large) is kept.photo(large)  # one is always kept
