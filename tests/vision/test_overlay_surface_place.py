"""A surface's region as a whole: outlined, crossed where it was not searched, a place on it ringed."""

import io

import numpy as np
import pytest
from PIL import Image

from tests.vision.surface.drawn import jpeg, light_of
from vision.errors import RegionError
from vision.overlay.hose_place import SHEET_PX
from vision.overlay.palette import AMBER
from vision.overlay.surface_place import region_shown

SURFACE = {"region_px": [[60.0, 60.0], [900.0, 60.0], [900.0, 700.0], [60.0, 700.0]], "not_searched_px": []}
PLACE = [[400.0, 320.0], [440.0, 320.0], [440.0, 350.0], [400.0, 350.0]]


@pytest.fixture(scope="module")
def photo() -> bytes:
    return jpeg(light_of())


def pixels(data: bytes) -> np.ndarray:
    with Image.open(io.BytesIO(data)) as image:
        assert image.format == "JPEG"
        return np.asarray(image.convert("RGB")).astype(int)


def amber(picture: np.ndarray) -> np.ndarray:
    return np.argwhere(np.abs(picture - AMBER).max(axis=2) < 40)


def test_a_place_is_ringed_where_it_lies_and_stays_bare_within(photo: bytes) -> None:
    plain, ringed = pixels(region_shown(photo, SURFACE)), pixels(region_shown(photo, SURFACE, PLACE))
    assert plain.shape[1] == ringed.shape[1] == SHEET_PX and not len(amber(plain))
    scale = SHEET_PX / (840 + 2 * 0.04 * 840)
    y, x = amber(ringed).mean(axis=0)
    left = 60 - 0.04 * 840
    assert (abs(x - (420 - left) * scale), abs(y - (335 - left) * scale)) < (4.0, 4.0)
    row, column = round(y), round(x)
    inside = slice(row - 4, row + 5), slice(column - 4, column + 5)
    assert np.abs(plain[inside] - ringed[inside]).max() < 12


def test_a_point_alone_is_ringed_so_that_it_is_seen(photo: bytes) -> None:
    assert len(amber(pixels(region_shown(photo, SURFACE, [[420.0, 335.0]])))) > 50


def test_what_was_not_searched_is_crossed(photo: bytes) -> None:
    blind = SURFACE | {"not_searched_px": [[300.0, 200.0, 400.0, 300.0]]}
    plain, crossed = pixels(region_shown(photo, SURFACE)), pixels(region_shown(photo, blind))
    tall = round(640 * SHEET_PX / 900)
    changed = np.argwhere(np.abs(plain[:tall] - crossed[:tall]).max(axis=2) > 30)
    scale, left = SHEET_PX / (840 * 1.08), 60 - 0.04 * 840
    low, high = changed.min(axis=0), changed.max(axis=0)
    for end, wanted in ((low, (225, 325)), (high, (275, 375))):
        assert np.abs(end - (np.array(wanted) - left) * scale).max() < 6


def test_a_region_that_is_none_is_named(photo: bytes) -> None:
    with pytest.raises(RegionError, match="has three corners or more, and this one 2"):
        region_shown(photo, SURFACE | {"region_px": [[1.0, 2.0], [3.0, 4.0]]})
