"""Sizes on a hose by a card that hangs beside it, by the diameter where it does not."""

from functools import lru_cache

import cv2
import numpy as np
import pytest

from tests.scenes.card_texture import card_texture
from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle
from vision.card import supplied_cards
from vision.hose import Searched, Tap, search_hoses
from vision.hose.by_card import sized_by_card
from vision.leg import HoseData
from vision.photo import Photo, read_photo
from vision.scale import card_plane

PX_PER_MM = 4.0
TRUE_MM = 2 * RADIUS_PX / PX_PER_MM
TAP = Tap(tuple((float(x), float(middle(x))) for x in range(60, 1350, 180)), "line")


@lru_cache
def photo() -> Photo:
    """The drawn hose with a worn place 40 px long, and the strip card below it at 4 px/mm."""
    picture = cv2.imdecode(np.frombuffer(hose_jpeg(spot=(700.0, 0.2)), np.uint8), cv2.IMREAD_GRAYSCALE)
    strip = next(card for card in supplied_cards() if card.name == "strip")
    face = cv2.resize(
        card_texture(strip, 20), None, fx=PX_PER_MM / 20, fy=PX_PER_MM / 20, interpolation=cv2.INTER_AREA
    )
    face = np.rot90(0.05 + 0.75 * face)
    rows, columns = face.shape
    picture[500 : 500 + rows, 240 : 240 + columns] = (255 * face ** (1 / 2.2)).round()
    return read_photo(cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 95])[1].tobytes())


def sized(diameter_mm: float | None) -> tuple[Searched, Searched]:
    """As searched, and with the card."""
    data = [] if diameter_mm is None else [HoseData("line", diameter_mm, 0.1, "rubber", "scene")]
    tap = TAP if data else Tap(TAP.points)
    found, plane = search_hoses(photo(), data, [tap]), card_plane(photo(), supplied_cards())
    assert isinstance(found, Searched) and plane is not None
    return found, sized_by_card(found, plane)


def codes(found: Searched) -> list[str]:
    return [note.code for note in found.notes]


def test_a_card_beside_the_hose_tells_what_nobody_told() -> None:
    before, after = sized(None)
    assert before.flags[0].size_mm is None and "hose-no-scale" in codes(before)
    assert after.flags[0].size_mm == pytest.approx(40 / PX_PER_MM, rel=0.35)
    box = max(cv2.minAreaRect(after.flags[0].outline_px.astype(np.float32))[1])
    assert after.flags[0].size_mm == pytest.approx(box / PX_PER_MM, rel=0.02)
    assert after.hoses[0].diameter_mm == pytest.approx(TRUE_MM, rel=0.08)
    length = after.hoses[0].coverage.length_mm
    assert length == pytest.approx(len(after.hoses[0].course.points) / PX_PER_MM, rel=0.02)
    assert "hose-card-scale" in codes(after) and "hose-no-scale" not in codes(after)


def test_near_the_card_its_scale_goes_before_the_diameters() -> None:
    before, after = sized(1.1 * TRUE_MM)
    assert before.flags[0].size_mm is not None and after.flags[0].size_mm is not None
    box = max(cv2.minAreaRect(after.flags[0].outline_px.astype(np.float32))[1])
    assert after.flags[0].size_mm == pytest.approx(box / PX_PER_MM, rel=0.02)
    assert after.hoses[0].diameter_mm == 1.1 * TRUE_MM


def test_a_card_that_contradicts_the_diameter_does_not_lie_beside_the_hose_and_it_is_said() -> None:
    before, after = sized(1.4 * TRUE_MM)
    assert [flag.size_mm for flag in after.flags] == [flag.size_mm for flag in before.flags]
    assert "hose-card-elsewhere" in codes(after) and "hose-card-scale" not in codes(after)
