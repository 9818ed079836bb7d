"""The printed page, judged on its pixels by libraries that know nothing of the drawing."""

from functools import cache

import cv2
import numpy as np
import pypdfium2 as pdfium
import pytest
from numpy.typing import NDArray
from skimage.color import xyz2rgb

from tests.scenes.rasters import rasterise
from vision.card.definition import card_from_json
from vision.card.leg_tags import leg_tag_pdf
from vision.card.parts import Card
from vision.card.primitives import srgb_code
from vision.card.sheet import card_pdf, placement_mm
from vision.card.supplied import supplied_cards
from vision.errors import CardError

PX_PER_MM = 300 / 25.4
CARDS = supplied_cards()
by_name = pytest.mark.parametrize("card", CARDS, ids=lambda card: card.name)

Grey = NDArray[np.uint8]


@cache
def card_raster(card: Card) -> Grey:
    """Return the card's face of copy 137 at 300 dpi."""
    window = (*placement_mm(card), card.width_mm, card.height_mm)
    return rasterise(card_pdf(card, [136, 137]), 1, PX_PER_MM, window)


def longest_black_run(image: Grey) -> int:
    """Return the longest run of black along any row."""
    best = 0
    for row in image < 128:
        edges = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]])))
        runs = edges[1::2] - edges[::2]
        best = max(best, int(runs.max(initial=0)))
    return best


def detect(image: Grey) -> dict[int, NDArray[np.float32]]:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(image)
    return {int(i): np.reshape(c, (4, 2)) for i, c in zip(np.reshape(ids, -1), corners, strict=True)}


def words_of(pdf: bytes, page: int = 0) -> str:
    document = pdfium.PdfDocument(pdf)
    text = document[page].get_textpage().get_text_bounded()
    document.close()
    return " ".join(text.split())


@pytest.mark.parametrize(("card", "along", "across"), [(CARDS[0], 2362, 354), (CARDS[1], 1654, 1181)])
def test_the_check_bars_have_their_true_length_in_pixels(card: Card, along: int, across: int) -> None:
    # 200, 30, 140 and 100 mm at 300 dots in an inch of 25.4 mm.
    image = card_raster(card)
    assert abs(longest_black_run(image.T) - along) <= 1
    assert abs(longest_black_run(image) - across) <= 1


@by_name
def test_all_markers_and_the_copy_number_are_read_from_the_page(card: Card) -> None:
    found = detect(card_raster(card))
    assert set(found) == {*card.marker_ids, 137}


@by_name
def test_markers_start_where_the_definition_says(card: Card) -> None:
    found = detect(card_raster(card))
    for marker in card.markers:
        seen = (found[marker.id] + 0.5) / PX_PER_MM
        np.testing.assert_allclose(seen, marker.corners_mm, rtol=0, atol=0.2)


@by_name
def test_saddles_lie_where_the_definition_says(card: Card) -> None:
    image = cv2.GaussianBlur(card_raster(card), (0, 0), 1.5)
    true = card.saddles_mm() * PX_PER_MM - 0.5
    aside = true + np.random.default_rng(11).uniform(-3, 3, true.shape)
    start = aside.astype(np.float32).reshape(-1, 1, 2)
    stop = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 100, 1e-4)
    found = cv2.cornerSubPix(image, start.copy(), (12, 12), (-1, -1), stop).reshape(-1, 2)
    assert np.abs(found - aside).max() > 1
    np.testing.assert_allclose((found - true) / PX_PER_MM, 0, rtol=0, atol=0.05)


@by_name
def test_the_wedge_is_printed_in_the_codes_of_its_reflectances(card: Card) -> None:
    image = card_raster(card)
    for patch in card.wedge:
        x, y, w, h = (np.array(patch.rect_mm) * PX_PER_MM).astype(int)
        assert set(np.unique(image[y + 3 : y + h - 3, x + 3 : x + w - 3])) == {srgb_code(patch.reflectance)}


def test_reflectance_is_coded_as_srgb_codes_it() -> None:
    # Held against scikit-image: a grey of luminance Y has X, Y, Z in the ratio of the D65 white.
    for reflectance in (0.0, 0.001, 0.0031308, 0.04, 0.18, 0.5, 0.9, 1.0):
        coded = xyz2rgb(reflectance * np.array([[0.95047, 1.0, 1.08883]]))[0, 1]
        assert abs(srgb_code(reflectance) - 255 * coded) <= 0.6


def test_a_page_is_made_for_every_copy_and_says_its_number() -> None:
    pdf = card_pdf(CARDS[0], [101, 205, 399])
    document = pdfium.PdfDocument(pdf)
    assert len(document) == 3
    assert document[0].get_size() == pytest.approx((210 / 25.4 * 72, 297 / 25.4 * 72), abs=0.01)
    document.close()
    assert "copy 205" in words_of(pdf, 1)


@by_name
def test_the_page_says_how_to_print_check_and_use_it(card: Card) -> None:
    words = words_of(card_pdf(card, [101]))
    for sentence in (
        "Print at 100 % (actual size), measure both check bars with a steel rule, write the lengths here:",
        "stiff, matt backing",
        "lanyard",
        "Never fix a card by magnet or by adhesive on chrome, never clip it on a line",
        "never touch chrome",
        "Count the cards out and in",
        "print at 100 %",
    ):
        assert sentence in words


def test_the_strip_says_which_end_goes_to_the_collar() -> None:
    assert "this end to the collar" in words_of(card_pdf(CARDS[0], [101]))


def test_nothing_is_printed_within_five_millimetres_of_the_papers_edge() -> None:
    # Office printers leave 3 to 5 mm unprinted; common practice, no source.
    for card in CARDS:
        page = rasterise(card_pdf(card, [101]), 0, 4, (0, 0, 210, 297))
        page[20:-20, 20:-20] = 255
        assert page.min() == 255


@pytest.mark.parametrize(
    ("copies", "words"),
    [
        ([], "no copy number was given"),
        ([101, 101], "a copy number is asked for twice"),
        ([99], "copy numbers go from 100 to 399"),
        ([400], "copy numbers go from 100 to 399"),
    ],
)
def test_wrong_copy_numbers_are_refused(copies: list[int], words: str) -> None:
    with pytest.raises(CardError, match=words):
        card_pdf(CARDS[0], copies)


def own_card(width: float, height: float) -> Card:
    marker = {"id": 50, "corners_mm": [[10, 10], [40, 10], [40, 40], [10, 40]]}
    dots = [{"xy_mm": [60.0, 20.0], "diameter_mm": 6.0}]
    obj = {"name": "own", "width_mm": width, "height_mm": height, "markers": [marker], "dots": dots}
    return card_from_json(obj | {"check_bars_mm": [100.0, 60.0]}, "own.json")


@pytest.mark.parametrize("size", [(66.0, 200.0), (150.0, 120.0), (190.0, 220.0)])
def test_a_shops_own_card_is_drawn_from_its_definition(size: tuple[float, float]) -> None:
    card = own_card(*size)
    pdf = card_pdf(card, [101])
    x, y = placement_mm(card)
    image = rasterise(pdf, 0, 10, (x, y, card.width_mm, card.height_mm))
    assert set(detect(image)) == {50}
    count, _, stats, centres = cv2.connectedComponentsWithStats((image[:, 500:] < 128).astype(np.uint8))
    assert count == 2
    np.testing.assert_allclose((centres[1] + 0.5) / 10 + (50, 0), (60.0, 20.0), rtol=0, atol=0.02)
    assert stats[1, cv2.CC_STAT_AREA] / 100 == pytest.approx(np.pi * 9, abs=0.3)
    page = rasterise(pdf, 0, 10, (0, 0, 210, 297))
    runs = sorted([longest_black_run(page), longest_black_run(page.T)])
    assert runs == pytest.approx([600, 1000], abs=1)


def test_a_card_larger_than_the_paper_is_refused() -> None:
    with pytest.raises(CardError, match=r"205 × 250 mm does not fit on A4"):
        card_pdf(own_card(205, 250), [101])


def test_leg_tags_are_forty_millimetres_and_read_as_their_ids() -> None:
    tags = [(number, f"ZZ-GWT left main {number}") for number in range(400, 413)]
    pdf = leg_tag_pdf(tags)
    found = detect(rasterise(pdf, 0, 10, (0, 0, 210, 297)))
    assert set(found) == set(range(400, 412))
    for corners in found.values():
        sides = np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1) + 1
        np.testing.assert_allclose(sides, 400, rtol=0, atol=3)
    assert set(detect(rasterise(pdf, 1, 10, (0, 0, 210, 297)))) == {412}
    assert "ZZ-GWT left main 412" in words_of(pdf, 1)


@pytest.mark.parametrize(
    ("tags", "words"),
    [
        ([], "no leg tag was asked for"),
        ([(399, "a")], "leg tag 399: leg tags go from 400 to 586"),
        ([(400, "a"), (400, "b")], "leg tag 400 is asked for twice"),
        ([(400, "left main of the aeroplane " * 3)], "is too long to be printed"),
        ([(400, "ZZ-GWT \u5de6")], "the letter '\u5de6' cannot be printed"),
    ],
)
def test_wrong_leg_tags_are_refused(tags: list[tuple[int, str]], words: str) -> None:
    with pytest.raises(CardError, match=words):
        leg_tag_pdf(tags)
