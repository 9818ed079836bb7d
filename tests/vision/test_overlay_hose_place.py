"""A place on a hose for a person to judge: shown unchanged and large enough, its line beside it."""

import io
import time

import numpy as np
import pytest
from PIL import Image

from tests.vision.hose.stored_case import StoredCase, stored_case
from vision.errors import RegionError
from vision.hose.stored import laid_along, stored_hose
from vision.overlay.hose_length import letter_of, whole_length
from vision.overlay.hose_place import SHEET_PX, place_in_photo, place_on_straight
from vision.overlay.palette import INK, PAPER
from vision.photo import read_photo

QUICK_S = 0.5


def pixels(jpeg: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(jpeg)) as image:
        assert image.format == "JPEG"
        return np.asarray(image.convert("RGB")).astype(int)


@pytest.fixture
def case() -> StoredCase:
    return stored_case()


def height_of(picture: np.ndarray) -> int:
    """Rows of the picture above its scale, whose first two are a line."""
    paper = (np.abs(picture - PAPER).max(axis=2) < 12).mean(axis=1) > 0.5
    return int(np.flatnonzero(paper)[0]) - 2


def flag_of(case: StoredCase) -> list[list[float]]:
    found: list[list[float]] = case.result["flags"][0]["outline_px"]
    return found


def test_the_photo_about_a_flag_shows_each_of_its_pixels_as_one_or_more(case: StoredCase) -> None:
    bare = pixels(place_in_photo(case.photo, case.hose, flag_of(case), lines=False))
    outline = np.array(flag_of(case))
    wanted = (outline.max(axis=0) - outline.min(axis=0)).max() + case.hose["width_px"]
    assert max(bare.shape[:2]) == SHEET_PX
    # Enlarged, and the place in its middle: the photo's light there is the crop's.
    x, y = np.round((outline.min(axis=0) + outline.max(axis=0)) / 2).astype(int)
    photo = read_photo(case.photo).pixels.astype(int)
    middle = bare[bare.shape[0] // 2, bare.shape[1] // 2]
    assert np.abs(middle - photo[y - 1 : y + 2, x - 1 : x + 2].mean(axis=(0, 1))).max() < 25
    assert wanted < SHEET_PX


def test_a_place_longer_than_the_sheet_is_not_made_smaller(case: StoredCase) -> None:
    course = stored_hose(case.hose).course.points
    long = course[20:1020:10].tolist()
    assert pixels(place_in_photo(case.photo, case.hose, long, lines=False)).shape[1] >= 1000
    assert pixels(place_on_straight(case.photo, case.hose, long, lines=False)).shape[1] >= 1000


@pytest.mark.parametrize("draw", [place_in_photo, place_on_straight])
def test_the_line_lies_about_the_place_and_leaves_it_as_it_is(case: StoredCase, draw) -> None:  # type: ignore[no-untyped-def]
    bare, lined = (pixels(draw(case.photo, case.hose, flag_of(case), lines=on)) for on in (False, True))
    assert bare.shape == lined.shape
    changed = np.argwhere(np.abs(bare - lined).max(axis=2) > 40)
    low, high = changed.min(axis=0), changed.max(axis=0)
    assert len(changed) > 100 and (high - low).min() > 30
    inner = tuple(slice(a + (b - a) // 3, b - (b - a) // 3) for a, b in zip(low, high, strict=True))
    assert np.abs(bare - lined)[inner].max() < 12  # JPEG's own


def test_the_hose_lies_level_on_the_straight_picture_with_both_sides(case: StoredCase) -> None:
    picture = pixels(place_on_straight(case.photo, case.hose, flag_of(case), lines=False))
    level = height_of(picture)
    upper = picture[:level].mean(axis=(1, 2))
    # A dark hose on a lighter ground: dark within, lighter beyond both sides.
    middle = upper[level // 3 : 2 * level // 3].mean()
    assert upper[:4].mean() > middle + 10 and upper[level - 6 : level - 2].mean() > middle + 10


def test_the_scale_stands_below_in_mm_or_in_shares(case: StoredCase) -> None:
    for one in (case, stored_case(scaled=False)):
        picture = pixels(place_on_straight(one.photo, one.hose, flag_of(one), lines=False))
        foot = picture[-40:]
        assert (np.abs(foot - PAPER).max(axis=2) < 12).mean() > 0.5
        assert (np.abs(foot - INK).max(axis=2) < 60).any()


def test_a_place_of_which_only_its_middle_is_known_gets_a_ring(case: StoredCase) -> None:
    at = [stored_hose(case.hose).course.points[300].tolist()]
    bare, lined = (pixels(place_in_photo(case.photo, case.hose, at, lines=on)) for on in (False, True))
    assert (np.abs(bare - lined).max(axis=2) > 40).sum() > 100


def test_a_mark_on_a_photo_that_was_not_searched_is_shown_in_it(case: StoredCase) -> None:
    bare, lined = (
        pixels(place_in_photo(case.photo, None, [[800.0, 600.0]], lines=on)) for on in (False, True)
    )
    assert max(bare.shape) in range(6 * 96, SHEET_PX + 1)
    assert (np.abs(bare - lined).max(axis=2) > 40).sum() > 100


def test_a_place_outside_the_photo_is_refused(case: StoredCase) -> None:
    with pytest.raises(
        RegionError, match=r"the place at 5000,20 lies outside the photo, which is 1600 × 1200"
    ):
        place_in_photo(case.photo, case.hose, [[5000.0, 20.0]], lines=True)
    with pytest.raises(RegionError, match="search the photo again"):
        place_on_straight(case.photo, case.hose | {"centre_line_px": []}, flag_of(case), lines=True)


def test_the_whole_hose_is_hatched_where_nothing_was_searched(case: StoredCase) -> None:
    hose = case.hose | {"not_searched": []}
    searched = pixels(whole_length(case.photo, hose))
    blind = pixels(whole_length(case.photo, hose | {"not_searched": [[0.0, 1.0]]}))
    assert searched.shape[1] == blind.shape[1] == SHEET_PX
    ink = [(np.abs(one - INK).max(axis=2) < 60).mean() for one in (searched, blind)]
    assert ink[1] > ink[0] + 0.01
    assert [letter_of(index) for index in (0, 1, 25, 26, 27)] == ["a", "b", "z", "aa", "ab"]


def test_each_is_made_in_tenths_of_a_second(case: StoredCase) -> None:
    def timed() -> float:
        begun = time.perf_counter()
        place_in_photo(case.photo, case.hose, flag_of(case), lines=True)
        place_on_straight(case.photo, case.hose, flag_of(case), lines=True)
        whole_length(case.photo, case.hose)
        return time.perf_counter() - begun

    assert min(timed() for _ in range(3)) < QUICK_S


def test_a_flags_line_on_the_straight_hose_lies_where_the_flag_lies(case: StoredCase) -> None:
    bare, lined = (
        pixels(place_on_straight(case.photo, case.hose, flag_of(case), lines=on)) for on in (False, True)
    )
    changed = np.argwhere(np.abs(bare - lined).max(axis=2) > 40)
    across = laid_along(stored_hose(case.hose).course, np.array(flag_of(case)))[:, 1]
    height = height_of(bare)
    middle = (changed[:, 0].min() + changed[:, 0].max()) / 2 - (height - 1) / 2
    scale = height / (1.35 * case.hose["width_px"])
    assert middle == pytest.approx(scale * (across.min() + across.max()) / 2, abs=4)
