"""A second photo from another place: rubs stay, mirrored light slides, and what tells nothing is refused."""

from functools import lru_cache

import cv2
import numpy as np
import pytest

from tests.vision.surface.drawn import HEIGHT, WIDTH, jpeg
from vision.photo import Photo, read_photo
from vision.results import Refusal
from vision.surface import Searched
from vision.surface.pair import search_surface_pair

REGION = ((110.0, 110.0), (890.0, 650.0))
AWAY_MM = 700.0
FOCAL_PX = read_photo(jpeg(np.full((HEIGHT, WIDTH), 0.3))).facts.focal.f_px
RUB, LAMP = (-90.0, 40.0), (110.0, -70.0)  # mm on the surface
MM = 0.9  # a pixel of the surface's own picture


@lru_cache(8)
def paint(specks: int, seed: int = 3) -> np.ndarray:
    """Grey paint with stains and chips that can be found again, 1080 × 900 mm."""
    rng = np.random.default_rng(seed)
    stain = cv2.GaussianBlur(rng.normal(size=(1000, 1200)), (0, 0), 3.0)
    light = 0.28 * (1 + (0.04 if specks else 0.0) * stain / stain.std())
    for _ in range(specks):
        x, y = rng.uniform(20, 1180), rng.uniform(20, 980)
        size, angle = (rng.uniform(1.2, 2.5), rng.uniform(1.2, 4.0)), rng.uniform(0, 180)
        cv2.ellipse(light, ((x, y), (2 * size[0], 2 * size[1]), angle), float(rng.uniform(0.16, 0.22)), -1)
    return light


def soft(at: tuple[float, float], radius: float) -> np.ndarray:
    """1 on a soft round place of the surface."""
    y, x = np.mgrid[:1000, :1200]
    away = np.hypot(x - 600 - at[0] / MM, y - 500 - at[1] / MM) / (radius / MM)
    return 1 / (1 + np.exp(np.clip((away - 1) / 0.15, -40, 40)))


def view(
    right_mm: float,
    turn_deg: float = 0.0,
    *,
    rub: float = 0.5,
    lamp: float | None = 0.0,
    specks: int = 200,
    seed: int = 3,
) -> Photo:
    """The surface seen by a phone so far to the right; `lamp` tells where the mirrored light has slid to, mm."""
    light = paint(specks, seed) * (1 + rub * soft(RUB, 14.0))
    if lamp is not None:
        light = light + 0.2 * soft((LAMP[0] + lamp, LAMP[1]), 15.0)
    a = np.radians(turn_deg)
    turn = np.array([[np.cos(a), 0, np.sin(a)], [0, 1, 0], [-np.sin(a), 0, np.cos(a)]])
    k = np.array([[FOCAL_PX, 0, (WIDTH - 1) / 2], [0, FOCAL_PX, (HEIGHT - 1) / 2], [0, 0, 1]])
    plane = np.array([[MM, 0, -600 * MM - right_mm], [0, MM, -500 * MM], [0, 0, AWAY_MM]])
    seen = cv2.warpPerspective(light, k @ turn @ plane, (WIDTH, HEIGHT), borderValue=0.2)
    return read_photo(jpeg(seen, seed=seed + round(abs(right_mm)) + 1))


def kinds(found: Searched, at: tuple[float, float]) -> list[str]:
    """What is told at a place of the surface in the first photo."""
    here = np.array(at) * FOCAL_PX / AWAY_MM + [(WIDTH - 1) / 2, (HEIGHT - 1) / 2]
    return [
        flag.kind
        for flag in (*found.flags, *found.set_aside)
        if np.hypot(*(np.array(flag.middle_px) - here)) < 25
    ]


@pytest.mark.parametrize("turn_deg", [0.0, 8.0])
def test_a_rub_stays_and_mirrored_light_is_set_aside(turn_deg: float) -> None:
    found = search_surface_pair(view(0), view(110, turn_deg, lamp=55.0), REGION)
    assert isinstance(found, Searched)
    assert kinds(found, RUB) == ["spot"]
    assert kinds(found, LAMP) == ["slides"]


def test_a_bright_place_that_is_on_the_surface_in_both_stays() -> None:
    found = search_surface_pair(view(0), view(110, 8.0, lamp=0.0), REGION)
    assert isinstance(found, Searched)
    assert kinds(found, LAMP) == ["spot"] and kinds(found, RUB) == ["spot"]


def test_what_is_darker_than_the_surface_is_never_set_aside_as_sliding() -> None:
    found = search_surface_pair(view(0, rub=-0.4, lamp=None), view(110, 8.0, rub=0.0, lamp=None), REGION)
    assert isinstance(found, Searched)
    assert kinds(found, RUB) == ["spot"]


def test_a_place_that_the_second_photo_does_not_show_stays() -> None:
    found = search_surface_pair(view(0), view(-330, 0.0, lamp=-165.0), REGION)
    if isinstance(found, Refusal):
        pytest.fail(found.reason)
    assert kinds(found, LAMP) == ["spot"], "it lies beyond the second photo's border"


@pytest.mark.parametrize("right_mm, turn_deg", [(0.0, 0.0), (0.0, 6.0), (20.0, 2.0)])
def test_a_second_photo_from_the_same_place_is_refused_with_one_thing_to_do(
    right_mm: float, turn_deg: float
) -> None:
    found = search_surface_pair(view(0), view(right_mm, turn_deg), REGION)
    assert isinstance(found, Refusal)
    assert found.remedy.code == "surface-pair-no-shift"
    assert "Move the phone sideways" in found.advice and "% are needed" in found.reason


def test_a_surface_without_anything_to_find_again_is_refused() -> None:
    plain = view(0, lamp=None, rub=0.0, specks=0)
    found = search_surface_pair(plain, view(110, lamp=None, rub=0.0, specks=0), REGION)
    assert isinstance(found, Refusal) and found.remedy.code in ("surface-pair-not-matched", "surface-blurred")
