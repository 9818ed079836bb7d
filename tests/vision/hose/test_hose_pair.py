"""What a second photo tells of a place that its own dust hides."""

from dataclasses import replace

import cv2
import numpy as np
import pytest

from tests.accuracy.hose import overlap, tapped
from tests.scenes.hose import HoseCase, hose_case
from vision.hose.laid_on import laid_on
from vision.hose.pair import _stays
from vision.hose.search import Laid, lay_hoses, told
from vision.hose.spots import outline
from vision.leg import HoseData
from vision.photo import read_photo

SEED = 10


@pytest.fixture(scope="module")
def case() -> HoseCase:
    return hose_case(SEED, "pair")


def laid(case: HoseCase, second: bool) -> Laid:
    hose = case.truth.hoses[0]
    legs = [HoseData("hose 0", hose.diameter_mm, 0.1, hose.cover, "scene")]
    moved = case.truth.moved_px if second else (0.0, 0.0)
    photo = read_photo((case.second_bytes if second else case.photo_bytes) or b"")
    found = lay_hoses(photo, legs, [tapped(hose, "hose 0", 5, 0.0, moved)], None)
    assert isinstance(found, list)
    return found[0]


@pytest.mark.parametrize("kept", [True, False], ids=["dust is known", "dust is not known"])
def test_a_place_that_is_taken_for_dust_in_the_second_photo_only_stays(case: HoseCase, *, kept: bool) -> None:
    one, other = laid(case, second=False), laid(case, second=True)
    worn = case.truth.spots[0].outline_px
    flag = next(flag for flag in told([one], named=True).flags if overlap(flag.outline_px, worn) > 0.3)
    there = next(
        spot
        for spot, line in ((spot, outline(spot, other.ribbon)) for spot in other.spots)
        if overlap(line, worn + case.truth.moved_px) > 0.3
    )
    dust = np.zeros_like(other.ribbon.marks)
    rows, columns = there.mask.shape
    dust[there.row : there.row + rows, there.column : there.column + columns] = 1.2 * there.peak
    dust = cv2.GaussianBlur(dust, (0, 0), 2.0)
    dimmed = replace(other.ribbon, marks=other.ribbon.marks - dust, dust=dust if kept else None)
    match = laid_on(one.ribbon, [dimmed], either_way=False)
    assert match is not None
    assert _stays(flag, one, match) == kept
