"""What goes right across a hose is told from wear, and a bar of sun from a clamp."""

from dataclasses import replace

import numpy as np
import pytest

from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle
from vision.hose.bands import Band, find_bands
from vision.hose.course import Course
from vision.hose.coverage import covered
from vision.hose.ribbon import straighten
from vision.photo import read_photo

ROWS, COLUMNS, WIDTH = 41, 600, 50.0
ROW, COLUMN = np.mgrid[:ROWS, :COLUMNS].astype(float)
ACROSS = (ROW - ROWS // 2) / (ROWS / 2)


def bands(added: np.ndarray, outside: np.ndarray | None = None, red: np.ndarray | float = 0.0) -> list[Band]:
    """Bands of a shaded hose with a streak and grain, and `added` in ln units."""
    light = np.log(0.05 + 0.05 * np.sqrt(1 - 0.8 * ACROSS**2) + 0.1 * np.exp(-(((ACROSS - 0.3) / 0.2) ** 2)))
    light = light + np.random.default_rng(5).normal(0, 0.04, light.shape) + added
    colour = np.zeros((ROWS, COLUMNS, 2))
    colour[..., 0] = red
    beside = np.zeros((2, COLUMNS)) if outside is None else outside
    plain = [one.astype(np.float32) for one in (light, np.zeros_like(light), colour, beside)]
    return find_bands(plain[0], plain[1], plain[2], plain[3], WIDTH)


def between(first: float, last: float, slant: float = 0.0) -> np.ndarray:
    at = COLUMN - slant * (ROW - ROWS // 2)
    return ((at > first) & (at < last)).astype(float)


def test_a_plain_hose_has_none() -> None:
    assert bands(np.zeros((ROWS, COLUMNS))) == []


def test_a_metal_band_brighter_here_and_darker_there_is_a_clamp_at_its_place() -> None:
    (band,) = bands(between(250, 290) * (0.2 + 1.2 * np.sin(4 * ACROSS)))
    assert band.kind == "clamp"
    assert band.first == pytest.approx(250, abs=4)
    assert band.last == pytest.approx(290, abs=4)


def test_what_goes_on_to_the_end_is_a_fitting() -> None:
    (band,) = bands(between(540, 700) * (0.3 + 1.2 * np.sin(4 * ACROSS)))
    assert (band.kind, band.last) == ("fitting", COLUMNS)


def test_what_has_another_colour_is_tape() -> None:
    (band,) = bands(0.8 * between(250, 290), red=0.9 * between(250, 290))
    assert band.kind == "tape"


@pytest.mark.parametrize("slant", [0.0, 0.5])
def test_light_that_falls_on_the_ground_too_is_sun(slant: float) -> None:
    bar = 1.1 * between(250, 340, slant)
    (band,) = bands(bar, outside=bar[[0, -1]])
    assert band.kind == "sun"
    assert not band.hides


def test_the_same_light_on_the_hose_alone_is_no_sun() -> None:
    (band,) = bands(1.1 * between(250, 340))
    assert band.kind == "clamp"


@pytest.mark.parametrize(("half_long", "half_wide"), [(25, 0.9), (40, 0.9), (20, 0.5)])
def test_wear_as_large_as_the_face_is_none(half_long: float, half_wide: float) -> None:
    away = np.hypot((COLUMN - 300) / half_long, ACROSS * ROWS / WIDTH / half_wide)
    assert bands(1.0 * np.clip((1.05 - away) / 0.25, 0, 1)) == []


def test_light_that_comes_and_goes_along_the_hose_is_none() -> None:
    assert bands(0.6 * np.sin(COLUMN / 60) + np.zeros_like(ROW)) == []


def test_what_lies_under_a_clamp_does_not_count_as_searched_and_what_lies_in_the_sun_does() -> None:
    x = np.arange(60.0, 1350.0)
    course = Course(np.stack([x, middle(x)], axis=1), np.full(len(x), RADIUS_PX))
    ribbon = straighten(read_photo(hose_jpeg()), course)
    sure = np.ones(ribbon.usable.shape[1], bool)
    bands = (Band("clamp", 300, 450, (0.0, 0.0)), Band("sun", 700, 850, (0.0, 0.0)))
    seen = covered(replace(ribbon, bands=bands), sure, 1290.0, None).seen
    at = (np.array([375, 775]) / len(sure) * len(seen)).astype(int)
    assert not seen[at[0]].any()
    assert seen[at[1]].all()
