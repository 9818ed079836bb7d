"""A card's JSON: what is read, what is refused and in which words."""

import copy
import json
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from vision.card.definition import Card, card_from_json, load_card, to_json
from vision.card.supplied import supplied_card
from vision.errors import CardError


def square(x: float, y: float, side: float = 20.0) -> list[list[float]]:
    return [[x, y], [x + side, y], [x + side, y + side], [x, y + side]]


def full_card() -> dict[str, Any]:
    return {
        "name": "shop",
        "dictionary": "DICT_APRILTAG_36h11",
        "width_mm": 100.0,
        "height_mm": 150.0,
        "markers": [{"id": 40, "corners_mm": square(5, 5)}, {"id": 41, "corners_mm": square(70, 5)}],
        "checker": {"origin_mm": [10.0, 40.0], "square_mm": 6.0, "columns": 4, "rows": 3},
        "dots": [{"xy_mm": [60.0, 60.0], "diameter_mm": 5.0}],
        "wedge": [{"rect_mm": [10.0, 80.0, 10.0, 10.0], "reflectance": 0.18}],
        "check_bars_mm": [120.0, 80.0],
        "copy_tag": {"corners_mm": square(5, 120)},
    }


def read(obj: object) -> Card:
    return card_from_json(obj, "shop.json")


def test_a_card_of_markers_alone_is_a_card() -> None:
    obj = {"name": "m", "width_mm": 50, "height_mm": 50, "markers": [{"id": 9, "corners_mm": square(5, 5)}]}
    card = read(obj)
    assert card.marker_ids == (9,)
    assert card.saddles_mm().shape == (0, 2)
    assert card.dots_mm().shape == (0, 2)


def test_saddles_are_the_inner_corners_row_by_row() -> None:
    saddles = read(full_card()).saddles_mm()
    expected = [[16, 46], [22, 46], [28, 46], [16, 52], [22, 52], [28, 52]]
    np.testing.assert_allclose(saddles, expected, rtol=0, atol=1e-12)


def test_checkers_may_be_a_list() -> None:
    obj = full_card()
    obj["checker"] = [obj["checker"], {"origin_mm": [60, 90], "square_mm": 5, "columns": 2, "rows": 2}]
    assert len(read(obj).saddles_mm()) == 6 + 1


def test_the_along_bar_lies_along_the_longer_side() -> None:
    obj = full_card()
    assert read(obj).check_bars_xy_mm == (80.0, 120.0)
    obj["width_mm"] = 200.0
    assert read(obj).check_bars_xy_mm == (120.0, 80.0)


def test_arrays_cannot_be_written_to() -> None:
    card = read(full_card())
    for array in (card.markers[0].corners_mm, card.saddles_mm(), card.dots_mm()):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 1.0


def test_writing_and_reading_gives_the_same_card() -> None:
    once = to_json(read(full_card()))
    assert to_json(read(json.loads(json.dumps(once)))) == once
    assert once["markers"] == full_card()["markers"]
    assert once["checker"] == [full_card()["checker"]]


def test_a_file_is_read_like_its_object(tmp_path: Any) -> None:
    path = tmp_path / "strip.json"
    path.write_text(json.dumps(to_json(supplied_card("strip"))), encoding="utf-8")
    assert to_json(load_card(path)) == to_json(supplied_card("strip"))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (None, "cannot be read"),
        (b"\xff\xfe\x00", "cannot be read"),
        (b"{", "this is no JSON"),
        (b"[" * 100_000, "this is no JSON"),
        (b"[]", "expected a JSON object with name"),
    ],
)
def test_a_file_that_is_no_card_is_refused(tmp_path: Any, content: bytes | None, words: str) -> None:
    path = tmp_path / "card.json"
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(CardError, match=words):
        load_card(path)


def changed(path: str, value: Any) -> dict[str, Any]:
    """Return the full card with the value at a dotted path replaced."""
    obj = copy.deepcopy(full_card())
    *parents, last = [int(key) if key.isdigit() else key for key in path.split(".")]
    target: Any = obj
    for key in parents:
        target = target[key]
    target[last] = value
    return obj


CASES: list[tuple[str, Any, str]] = [
    ("name", "", "name must be a word, found str ''"),
    ("widht_mm", 3, "unknown key 'widht_mm'; the nearest known key is 'width_mm'"),
    ("checkers", [], "unknown key 'checkers'; the nearest known key is 'checker'"),
    ("dots.0.diameter", 3, r"dots\[0\]: unknown key 'diameter'; the nearest known key is 'diameter_mm'"),
    ("dictionary", "DICT_4X4_50", "dictionary is 'DICT_4X4_50'; only 'DICT_APRILTAG_36h11'"),
    ("width_mm", "100", "width_mm must be a number, found str '100'"),
    ("width_mm", True, "width_mm must be a number, found bool"),
    ("height_mm", float("nan"), "height_mm is nan; give a finite number"),
    ("height_mm", float("inf"), "height_mm is inf; give a finite number"),
    ("height_mm", 10**400, "height_mm is 1000.*; give a finite number"),
    ("height_mm", -5, "height_mm is -5; give the card's size in mm"),
    ("markers", {}, "markers must be a list"),
    ("markers", [], "the card has no marker, so nothing on it can be found or measured"),
    ("markers.1.id", 40, "marker id 40 stands twice"),
    ("markers.1.id", 100, "marker id 100 is outside 0–99"),
    ("markers.1.id", -1, "marker id -1 is outside 0–99"),
    ("markers.1.id", 1.5, r"markers\[1\]\.id is 1.5; give a whole number"),
    ("markers.0.corners_mm", square(5, 5)[:3], r"markers\[0\]\.corners_mm must be four points"),
    ("markers.0.corners_mm", square(5, 5)[::-1], "marker 40 run counter-clockwise"),
    ("markers.0.corners_mm", square(25, 5, -20), "marker 40 do not start at the top left"),
    ("markers.0.corners_mm", [*square(5, 5)[1:], [5, 5]], "marker 40 do not start at the top left"),
    ("markers.0.corners_mm", [[5, 5], [25, 5], [5, 25], [25, 25]], "marker 40 are no square"),
    ("markers.0.corners_mm", [[5, 5], [25, 5], [25, 28], [5, 28]], "marker 40 are no square"),
    ("markers.0.corners_mm", [[5, 5], [25, 5], [29, 24], [9, 24]], "marker 40 are no square"),
    ("markers.0.corners_mm", [[5, 5]] * 4, "marker 40 are no square"),
    ("markers.0.corners_mm", square(-1, 5), r"marker 40 reaches outside the card of 100 × 150 mm"),
    ("markers.0.corners_mm", square(60, 10), "marker 40 and marker 41 overlap"),
    ("checker.square_mm", 0, r"checker 1: square_mm is 0; it must be above 0"),
    ("checker.columns", 1, "checker 1 has 1 columns and 3 rows; it needs at least 2"),
    ("checker.columns", 40, "checker 1 reaches outside the card"),
    ("checker.origin_mm", [10, 20], "marker 40 and checker 1 overlap"),
    ("checker", None, r"checker\[0\]: expected a JSON object"),
    ("dots.0.diameter_mm", 0, "dot 1: diameter_mm is 0"),
    ("dots.0.xy_mm", [99, 60], "dot 1 reaches outside the card"),
    ("wedge.0.reflectance", 0, "wedge patch 1: reflectance is 0; give a share above 0"),
    ("wedge.0.reflectance", 18, r"reflectance is 18; .*18 % is 0.18"),
    ("wedge.0.rect_mm", [10, 80, 0, 10], "wedge patch 1 has no area"),
    ("wedge.0.rect_mm", [10, 80, 10], "rect_mm must be a list of 4 numbers"),
    ("wedge.0.rect_mm", [10, 45, 10, 10], "checker 1 and wedge patch 1 overlap"),
    ("check_bars_mm", [120], "check_bars_mm must be a list of 2 numbers"),
    ("check_bars_mm", [0, 80], "check bar along is 0 mm"),
    ("check_bars_mm", [151, 80], "check bar along is 151 mm; it must be above 0 and at most the 150 mm"),
    ("check_bars_mm", [120, 101], "check bar across is 101 mm; .*100 mm of the card's shorter side"),
    ("copy_tag.corners_mm", square(12, 82), "wedge patch 1 and copy_tag overlap"),
    ("copy_tag.corners_mm", square(5, 140), "copy_tag reaches outside the card"),
]


@pytest.mark.parametrize(("path", "value", "words"), CASES)
def test_a_contradiction_is_named_with_its_place(path: str, value: Any, words: str) -> None:
    with pytest.raises(CardError, match=words) as caught:
        read(changed(path, value))
    assert str(caught.value).startswith("shop.json: ")


@pytest.mark.parametrize("key", ["name", "width_mm", "height_mm", "markers"])
def test_a_missing_key_is_named(key: str) -> None:
    obj = full_card()
    del obj[key]
    with pytest.raises(CardError, match=f"'{key}' is missing"):
        read(obj)


def test_features_that_only_touch_are_allowed() -> None:
    obj = full_card()
    obj["markers"][1]["corners_mm"] = square(25, 5)
    assert len(read(obj).markers) == 2


@pytest.mark.parametrize("turn", [lambda c: c, lambda c: (c - 15) @ np.array([[0.8, 0.6], [-0.6, 0.8]]) + 17])
def test_a_marker_may_lean_up_to_forty_five_degrees(turn: Callable[..., Any]) -> None:
    obj = full_card()
    obj["markers"][0]["corners_mm"] = turn(np.array(square(5, 5))).tolist()
    assert read(obj).marker_ids == (40, 41)
