"""What stands out in numbers: a step from neither side, a mark from both, and the surface's own taken away."""

import numpy as np

from tests.vision.surface.drawn import REGION, cylinder, jpeg, light_of
from vision.photo import read_photo
from vision.surface.contrast import SIGNALS, scales
from vision.surface.looked import LIGHT, look
from vision.surface.own import residual
from vision.surface.region import region_of


def most(light: np.ndarray, signal: str) -> float:
    maps = np.zeros((*light.shape, 4), np.float32)
    maps[..., LIGHT] = light
    known = np.ones(light.shape, bool)
    k = SIGNALS.index(signal)
    return max(float(scale.contrast[k].max()) for scale in scales(maps, known, 20.0))


def test_a_step_stands_out_from_neither_side_and_a_place_from_both() -> None:
    y, x = np.mgrid[:300, :400]
    step = np.where(x + 0.4 * y > 260, 0.5, 0.0).astype(np.float32)
    assert most(step, "brighter") < 0.02 and most(step, "darker") < 0.02
    place = np.where(np.hypot(x - 200, y - 150) < 12, 0.5, 0.0).astype(np.float32)
    assert most(place, "brighter") > 0.25 and most(-place, "darker") > 0.25
    assert most(place, "darker") < 0.1


def test_a_narrow_place_stands_out_whichever_way_it_lies() -> None:
    y, x = np.mgrid[:300, :400]
    for turn in np.linspace(0, np.pi, 7):
        u = (x - 200) * np.cos(turn) + (y - 150) * np.sin(turn)
        v = -(x - 200) * np.sin(turn) + (y - 150) * np.cos(turn)
        assert most(np.where(np.hypot(u / 40, v / 8) < 1, 0.5, 0.0).astype(np.float32), "brighter") > 0.12


def test_a_cylinders_shading_and_its_streak_are_taken_away() -> None:
    looked = look(read_photo(jpeg(cylinder(light_of()))), region_of(REGION))
    own, axis = residual(looked, looked.lit)
    deep = np.s_[30:-30, 30:-30]
    before, left = looked.maps[deep][..., LIGHT], own[deep][..., LIGHT]
    assert axis is not None and abs(np.sin(axis)) < 0.1  # it lies along the rows
    assert float(np.std(before)) > 0.1
    assert abs(float(np.quantile(left.mean(axis=1), 0.99))) < 0.01
