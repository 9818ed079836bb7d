"""Which line is the collar's rim: painted struts seen square-on, where each thing that misleads can be drawn alone."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from vision.camera import Camera
from vision.cylinder import Axis
from vision.strut.rim_place import find_rims
from vision.strut.window import Straightened, Window

Array = NDArray[np.float64]
PISTON, COLLAR, CYLINDER = 31.0, 49.0, 45.0
K = 4.0  # px per mm
RIM, TOP, STRAP = 80.0, 112.0, (130.0, 140.0)  # heights above the band, mm
CAMERA = Camera(4000.0, 1500.0, 2000.0)


def strut(
    background: float = 0.4, collar: float = 0.6, chrome: float = 0.5, limb: float = 0.0, strap: float = 0.05
) -> Straightened:
    """A view of a strut: band below 0, chrome with a dark streak to the rim, collar, cylinder with a strap.

    `limb` is how far within its outline the chrome mirrors what stands beside it, as a share of the radius.
    """
    x = np.arange(-60, 60, 1 / K)
    s = np.arange(250.0, -10.0, -1 / K)
    luma = np.full((len(s), len(x)), background)
    across, along = np.abs(x)[None, :], s[:, None]
    luma[(along < RIM) & (across < PISTON * (1 - limb))] = chrome
    luma[(along < RIM) & (np.abs(x - 8.0)[None, :] < 3.0)] = 0.15
    luma[(along >= RIM) & (along < TOP) & (across < COLLAR)] = collar
    luma[(along >= TOP) & (across < CYLINDER)] = 0.55
    luma[(along >= STRAP[0]) & (along < STRAP[1]) & (across < CYLINDER + 1.0)] = strap
    # A label on the cylinder whose side happens to lie where the piston's would.
    luma[(along >= TOP) & (along < STRAP[0] - 2) & (x[None, :] > 12) & (x[None, :] < PISTON)] = 0.3
    noisy = gaussian_filter(luma, 0.9) + np.random.default_rng(3).normal(0, 0.004, luma.shape)
    # The camera stands level with the rim, so that it is no bow.
    axis = Axis(np.array([0.0, RIM, 1000.0]), np.array([0.0, -1.0, 0.0]))
    light = noisy.astype(np.float32)
    to_photo = np.array([[1.0, 0.0, 1500.0 - 60 * K], [0.0, 1.0, 2000.0 - (250 - RIM) * K], [0.0, 0.0, 1.0]])
    window = Window(np.repeat(light[:, :, None], 3, axis=2), light, to_photo[:2, 2], 0.004, np.ones(3), 1.0)
    return Straightened(window, light.shape, K, -60.0, 250.0, to_photo, axis, CAMERA)


def found(view: Straightened) -> list[float]:
    """Heights of the places found, everything being in view."""
    clear = (np.ones(len(view.s_mm), bool), np.ones(len(view.s_mm), bool))
    return [rim.s_mm for rim in find_rims(view, (PISTON, COLLAR), (8.0, 230.0), clear, clear)]


def test_the_lower_rim_is_found_and_not_the_upper_one() -> None:
    assert found(strut())[0] == pytest.approx(RIM, abs=1.0)
    assert all(abs(s - TOP) > 5 for s in found(strut()))


@pytest.mark.parametrize("limb", [0.05, 0.1, 0.15])
def test_chrome_that_fades_into_a_dark_tire_before_its_outline_is_a_piston(limb: float) -> None:
    assert found(strut(background=0.03, limb=limb))[0] == pytest.approx(RIM, abs=1.0)


def test_a_strap_above_a_collar_as_dark_as_its_background_is_no_collar() -> None:
    # +50.8 mm once: the black collar was lost before a black tire, and the strap above it has the light of a rim.
    assert found(strut(background=0.05, collar=0.05)) == []
