"""Brown dust on a dark hose brightens it as wear does: taken out by its colour, it hides no grey rub."""

import cv2
import numpy as np
import pytest

from tests.vision.hose.drawn import RADIUS_PX, WIDTH, hose_jpeg, middle
from vision.hose import Searched, Tap, search_hoses
from vision.hose.dust import dust_light
from vision.leg import HoseData
from vision.photo import read_photo

SHAPE = (40, 600)
TAPS = [Tap(tuple((x, float(middle(x))) for x in (100.0, 400.0, 700.0, 1000.0, 1300.0)), "hose 0")]
LEGS = [HoseData("hose 0", 20.0, 0.2, "rubber", "scene")]
DUST = np.array([0.11, 0.15, 0.17])  # blue, green, red
RUB_AT = 700


def patches(seed: int, shape: tuple[int, int], size: float) -> np.ndarray:
    """Soft patches from 0 to 1 of about this size, px."""
    noise = cv2.GaussianBlur(np.random.default_rng(seed).normal(size=shape), (0, 0), size)
    return np.clip(0.5 + noise / (2 * noise.std()), 0, 1)


def dusty_photo(seed: int, *, rub: bool) -> bytes:
    """A drawn hose under patches of dust, with or without a grey rub at a column."""
    coded = cv2.imdecode(np.frombuffer(hose_jpeg(seed), np.uint8), cv2.IMREAD_COLOR)
    light = (coded / 255.0) ** 2.2
    y, x = np.mgrid[: light.shape[0], :WIDTH].astype(float)
    off = (y - middle(x)) / RADIUS_PX
    share = 0.35 * patches(seed + 5, off.shape, 16) * (np.abs(off) < 1)
    if rub:
        there = 1 / (1 + np.exp(np.clip((np.hypot(x - RUB_AT, off * RADIUS_PX) / 18 - 1) / 0.1, -40, 40)))
        share = share * (1 - there)
        light = light * (1 + 0.55 * there[..., None])
    light = light * (1 - share[..., None]) + DUST * share[..., None]
    picture = (255 * np.clip(light, 0, 1) ** (1 / 2.2)).round().astype(np.uint8)
    return cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 92])[1].tobytes()


def at_rub(found: Searched) -> list[bool]:
    return [bool(abs(flag.outline_px[:, 0].mean() - RUB_AT) < 20) for flag in found.flags]


def test_light_that_goes_with_the_brown_is_taken_away_and_a_grey_rub_stays() -> None:
    dust = patches(1, SHAPE, 12) - 0.5
    residual = 2.0 * 0.1 * dust
    residual[15:25, 300:330] += 0.25
    left = residual - dust_light(residual.astype(np.float32), (0.1 * dust).astype(np.float32))
    rub = np.zeros(SHAPE, bool)
    rub[15:25, 300:330] = True
    assert left[~rub].std() < 0.2 * residual[~rub].std()
    assert left[rub].mean() == pytest.approx(0.25, abs=0.02)


@pytest.mark.parametrize("slope", [0.0, -2.0], ids=["no browner", "bluer"])
def test_where_brighter_is_not_browner_nothing_is_taken_away(slope: float) -> None:
    colour = (0.1 * (patches(2, SHAPE, 12) - 0.5)).astype(np.float32)
    light = (0.2 * (patches(3, SHAPE, 12) - 0.5) + slope * colour).astype(np.float32)
    assert not dust_light(light, colour).any()


def test_a_coloured_label_loses_no_more_light_than_the_brownest_dust_had() -> None:
    colour = (0.1 * (patches(1, SHAPE, 12) - 0.5)).astype(np.float32)
    light = 2 * colour
    light[10:30, 100:180], colour[10:30, 100:180] = 1.5, 1.2
    assert dust_light(light, colour)[12:28, 105:175].max() < 0.7


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_a_grey_rub_on_a_dusty_hose_is_flagged_and_dust_alone_is_not(seed: int) -> None:
    worn = search_hoses(read_photo(dusty_photo(seed, rub=True)), LEGS, TAPS)
    sound = search_hoses(read_photo(dusty_photo(seed, rub=False)), LEGS, TAPS)
    assert isinstance(worn, Searched)
    assert isinstance(sound, Searched)
    assert any(at_rub(worn))
    assert not sound.flags
