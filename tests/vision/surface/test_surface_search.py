"""The search on plain drawn surfaces: what it flags, what it sets aside, what it says and never says."""

import json

import cv2
import numpy as np
import pytest

from tests.scenes.card_texture import card_texture
from tests.vision.surface.drawn import HEIGHT, REGION, WIDTH, cylinder, jpeg, light_of, spot
from vision.card import supplied_cards
from vision.errors import RegionError
from vision.photo import read_photo
from vision.results import Refusal
from vision.surface import KINDS, Flag, Searched, search_surface, to_json

AT = (420.0, 330.0)


def searched(light: np.ndarray, region: object = REGION, **how: float) -> Searched:
    found = search_surface(read_photo(jpeg(light, **how)), region)
    assert isinstance(found, Searched), found
    return found


def at(flags: list[Flag], x: float, y: float) -> list[Flag]:
    return [
        flag
        for flag in flags
        if cv2.pointPolygonTest(flag.outline_px.astype(np.float32), (float(x), float(y)), False) >= 0
    ]


def test_a_bright_smooth_place_is_flagged_with_its_place_and_size_and_as_rubbed() -> None:
    found = searched(spot(light_of(), AT, 22))
    (flag,) = found.flags
    assert at([flag], *AT)
    assert np.hypot(*np.subtract(flag.middle_px, AT)) < 6
    assert flag.size_px == pytest.approx(44, rel=0.25)
    assert flag.size_mm is None
    assert flag.why.startswith("brighter and smoother")


def test_a_dark_place_is_flagged_too() -> None:
    (flag,) = searched(spot(light_of(), AT, 22, -0.3)).flags
    assert at([flag], *AT) and flag.why.startswith("darker")


def test_what_stands_out_more_has_the_higher_grade() -> None:
    grades = [searched(spot(light_of(), AT, 22, strength)).flags[0].grade for strength in (0.12, 0.6)]
    assert grades[0] < grades[1] == 3


def test_a_plain_surface_has_no_flag_and_is_said_to_be_seen_in_one_light_only() -> None:
    found = searched(light_of())
    assert not found.flags
    assert found.coverage.share > 0.95
    codes = [note.code for note in found.notes]
    assert codes == ["surface-one-view", "surface-chrome", "surface-no-scale"]


def test_what_is_lost_in_a_rough_surface_stands_out_on_an_even_one() -> None:
    assert at(searched(spot(light_of(rough=0.02), AT, 12, -0.15)).flags, *AT)
    assert not searched(spot(light_of(rough=0.35), AT, 12, -0.15)).flags


def test_light_mirrored_along_a_cylinder_is_no_flag_and_a_rub_on_it_is() -> None:
    assert not searched(cylinder(light_of())).flags
    assert at(searched(cylinder(spot(light_of(), (420, 460), 22))).flags, 420, 460)


@pytest.mark.parametrize("soft", [1.0, 8.0])
def test_the_edge_of_a_shadow_is_no_flag_and_a_rub_in_the_shadow_is(soft: float) -> None:
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    shadow = 1 - 0.5 / (1 + np.exp(np.clip(-(x + 0.5 * y - 620) / soft, -40, 40)))
    assert not searched(light_of() * shadow).flags
    assert at(searched(spot(light_of(), (720, 560), 22) * shadow).flags, 720, 560)


def test_a_straight_row_of_like_places_is_set_aside_as_fasteners_and_a_place_off_it_is_not() -> None:
    light = spot(light_of(), (300, 560), 20, -0.3)
    for x in range(150, 851, 70):
        light = spot(light, (x, 200 + 0.1 * x), 9, -0.5)
    found = searched(light)
    assert len([flag for flag in found.set_aside if flag.kind == "rivets"]) >= 8
    (flag,) = found.flags
    assert at([flag], 300, 560)


def test_a_rectangle_of_another_light_is_set_aside_as_a_label_and_does_not_count_as_searched() -> None:
    light = light_of()
    light[300:380, 400:540] = 0.75
    found = searched(light)
    assert not found.flags
    assert [flag.kind for flag in at(found.set_aside, 470, 340)] == ["label"]
    assert found.coverage.share < searched(light_of()).coverage.share


def test_a_long_straight_gap_is_set_aside_as_an_edge() -> None:
    light = light_of()
    cv2.line(light, (0, 500), (WIDTH, 420), 0.06, 5)
    found = searched(light)
    assert not found.flags
    assert "edge" in {flag.kind for flag in found.set_aside}


def test_what_is_burnt_out_or_black_does_not_count_as_searched() -> None:
    light = light_of()
    light[:, 60:270] = 1.4
    assert searched(light).coverage.share == pytest.approx(0.75, abs=0.04)
    light[:, 60:270] = 0.0
    assert searched(light).coverage.share == pytest.approx(0.75, abs=0.04)


def test_where_nothing_tells_the_sharpness_nothing_counts_as_searched() -> None:
    light = light_of()
    light[:, 930:960] = light[:, 900:930]
    found = searched(light)
    assert found.coverage.share == 0
    assert "surface-sharp-unknown" in [note.code for note in found.notes]


def test_three_corners_and_more_bound_the_region() -> None:
    triangle = ((100.0, 100.0), (860.0, 380.0), (100.0, 660.0))
    light = spot(spot(light_of(), (260, 380), 20), (780, 150), 20)
    found = searched(light, triangle)
    assert at(found.flags, 260, 380) and not at([*found.flags, *found.set_aside], 780, 150)


def test_a_card_on_the_surface_tells_millimetres_and_is_not_searched() -> None:
    card = next(card for card in supplied_cards() if card.height_mm < 2 * card.width_mm)
    scale = 2.4
    face = card_texture(card, 10)
    small = cv2.resize(face, None, fx=scale / 10, fy=scale / 10, interpolation=cv2.INTER_AREA)
    light = spot(light_of(), (650, 300), 25)
    light[250 : 250 + small.shape[0], 150 : 150 + small.shape[1]] = 0.02 + 0.5 * small
    found = search_surface(read_photo(jpeg(light)), REGION, supplied_cards())
    assert isinstance(found, Searched)
    (flag,) = at(found.flags, 650, 300)
    assert flag.size_mm == pytest.approx(flag.size_px / scale, rel=0.06)
    assert "card" in {one.kind for one in found.set_aside}
    assert not at(found.flags, 250, 330)
    assert "surface-card-scale" in [note.code for note in found.notes]


def disc() -> np.ndarray:
    return cv2.circle(light_of(), (480, 380), 160, 0.1, -1)


@pytest.mark.parametrize(
    ("light", "region", "blur", "code", "words"),
    [
        (light_of(), ((100, 100), (400, 180)), 0.8, "surface-too-small", "80 px across, 120 px are needed"),
        (light_of(), ((100, 100), (1200, 600)), 0.8, "surface-outside", "the photo is 1000 × 760 px"),
        (disc(), REGION, 7.0, "surface-blurred", "px soft"),
        (light_of() * 5, REGION, 0.8, "surface-burnt", "100% burnt out"),
        (light_of() * 0.002, REGION, 0.8, "surface-dark", "without light"),
    ],
    ids=["small", "outside", "blurred", "burnt", "dark"],
)
def test_a_region_that_cannot_be_searched_is_refused_with_one_thing_to_do(
    light: np.ndarray, region: object, blur: float, code: str, words: str
) -> None:
    found = search_surface(read_photo(jpeg(light, blur)), region)
    assert isinstance(found, Refusal)
    assert found.remedy.code == code
    assert words in found.reason
    assert found.advice.count(".") == 1 and found.advice.endswith(".")


def test_what_is_refused_when_blurred_is_searched_when_sharp() -> None:
    assert searched(disc()).coverage.share > 0.7


@pytest.mark.parametrize(
    ("points", "words"),
    [
        (((10, 10),), "two opposite corners, or three to 40 corners in their order round; 1 came"),
        (((10, 10), (500, 500), (500, 10), (10, 500)), "two sides of the region cross"),
    ],
)
def test_points_that_bound_no_region_are_wrong_use(points: object, words: str) -> None:
    with pytest.raises(RegionError, match=words):
        search_surface(read_photo(jpeg(light_of())), points)


def test_the_json_has_the_contracts_keys_and_tells_no_size_that_was_not_measured() -> None:
    told = json.loads(json.dumps(to_json(searched(spot(light_of(), AT, 22))), allow_nan=False))
    assert {"status", "flags", "set_aside", "hoses", "reason", "advice"} <= set(told)
    (flag,) = told["flags"]
    assert {"outline_px", "grade", "size_mm", "along_mm", "why"} <= set(flag)
    assert (flag["size_mm"], flag["along_mm"], told["hoses"]) == (None, None, [])
    assert 0.9 < told["surface"]["searched_share"] <= 1


def test_every_kind_of_what_is_set_aside_is_a_stored_word_that_stays() -> None:
    assert set(KINDS) == {
        "spot", "card", "drop", "edge", "label", "pattern", "rivets", "shadow", "slides", "streak", "sun"
    }  # fmt: skip
