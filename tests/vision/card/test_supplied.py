"""The two supplied cards: their files, and what the design promises of them."""

from importlib.resources import files
from itertools import combinations

import numpy as np
import pytest

from tests.scenes.card_texture import card_texture
from vision.card.definition import to_json
from vision.card.design import designs, file_text
from vision.card.drawing import tag_bits
from vision.card.parts import Card
from vision.card.supplied import supplied_cards

CARDS = supplied_cards()
by_name = pytest.mark.parametrize("card", CARDS, ids=lambda card: card.name)


def test_the_committed_files_are_what_the_design_gives() -> None:
    for name, design in designs().items():
        assert files("vision.card").joinpath(name).read_text(encoding="utf-8") == file_text(design)


def test_the_strip_and_the_plate_are_supplied() -> None:
    assert [card.name for card in CARDS] == ["strip", "plate"]
    assert [to_json(card) for card in CARDS] == list(designs().values())


def test_no_id_stands_on_two_cards() -> None:
    for first, second in combinations(CARDS, 2):
        assert not set(first.marker_ids) & set(second.marker_ids)


def test_the_check_bars_are_the_contracts() -> None:
    assert [card.check_bars_mm for card in CARDS] == [(200.0, 30.0), (140.0, 100.0)]


def test_the_strip_measures_over_nearly_its_whole_length() -> None:
    strip = CARDS[0]
    left, right = np.unique(strip.saddles_mm()[:, 0])
    assert right - left > 0.55 * strip.width_mm
    assert np.ptp(strip.saddles_mm()[:, 1]) > 0.85 * strip.height_mm
    assert len(strip.saddles_mm()) == 2 * 47


@by_name
def test_every_grey_is_large_enough_to_average(card: Card) -> None:
    assert [patch.reflectance for patch in card.wedge] == [0.9, 0.6, 0.36, 0.2, 0.1, 0.04]
    for patch in card.wedge:
        assert min(patch.rect_mm[2:]) >= 7.0


@by_name
def test_every_tag_has_a_module_of_white_around_it(card: Card) -> None:
    texture, scale = card_texture(card, 10), 10
    assert card.copy_tag is not None
    for corners in [*(marker.corners_mm for marker in card.markers), card.copy_tag.corners_mm]:
        # Pixels half covered by the tag or by its neighbour, 0.1 mm, are left out.
        module = (corners[2, 0] - corners[0, 0]) / 8
        x0, y0 = np.ceil((corners[0] - module) * scale).astype(int) + 1
        x1, y1 = np.floor((corners[2] + module) * scale).astype(int) - 1
        inner = round(module * scale) - 3
        around = texture[y0:y1, x0:x1].copy()
        around[inner:-inner, inner:-inner] = 1.0
        assert around.min() > 0.99


def test_tag_bits_are_those_of_the_family_turned_half() -> None:
    # Codes 0 and 1 of the AprilTag 36h11 family, row by row from the top left; from
    # memory of the family's published list.  OpenCV draws them turned by 180 degrees.
    for number, code in ((0, 0xD5D628584), (1, 0xD97F18B49)):
        bits = np.rot90(tag_bits(number), 2).ravel()
        assert int("".join(map(str, bits)), 2) == code
