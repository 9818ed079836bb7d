"""The red band's side in front of backgrounds darker, as bright, and brighter than the red."""

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d

from vision.strut.red_side import fit_red_sides
from vision.strut.window import Window

Array = NDArray[np.float64]
RED = np.array([0.45, 0.06, 0.055])
BLUR, LIMB, BACK = 1.0, 12.0, 5.0
CHROMA = 1.4  # px: the lens, then half-size colour stretched to full size again
WINDOW = Window(
    np.zeros((1, 1, 3), np.float32), np.zeros((1, 1), np.float32), np.zeros(2), 2e-3, np.full(3, 0.8), 1.0
)


def profile(place: float, grey: float, gloss: float = 0.0) -> tuple[Array, Array, Array]:
    """Offsets t (T,), linear luma (1, T) and blunt colours (1, T, 3) of a side at `place`."""
    fine = np.arange(-30, 20, 0.05)
    depth = np.maximum(place - fine, 0) / LIMB
    red = (0.35 + 0.5 * np.sqrt(np.minimum(depth, 1)))[:, None] * RED
    red = red + gloss * np.exp(-3 * depth)[:, None] * (grey - red)
    light = np.where((fine < place)[:, None], red, grey)
    light = gaussian_filter1d(light, BLUR / 0.05, axis=0, mode="nearest")
    t = np.arange(-20, 12.01, 0.5)
    luma = np.interp(t, fine, WINDOW.luma_of(light))
    colours = gaussian_filter1d(light, CHROMA / 0.05, axis=0, mode="nearest")
    return t, luma[None], np.stack([np.interp(t, fine, c) for c in colours.T], axis=-1)[None]


@pytest.mark.parametrize("grey", [0.02, 0.08, 0.11, 0.14, 0.2, 0.5, 0.9])
@pytest.mark.parametrize("start", [-0.8, 0.9])
def test_the_side_is_placed_on_any_background(grey: float, start: float) -> None:
    # By luma the red is as bright as grey 0.05 at its limb and as grey 0.12 inside.
    t, luma, colours = profile(0.3, grey)
    steps = fit_red_sides(WINDOW, luma, colours, t, 0.3 + start, BLUR, LIMB, BACK, 1e-3)
    assert steps.good.all()
    assert steps.position[0] == pytest.approx(0.3, abs=0.12)


@pytest.mark.parametrize("grey", [0.02, 0.3, 0.6])
def test_gloss_that_washes_the_red_out_towards_the_limb_hardly_moves_the_side(grey: float) -> None:
    t, luma, colours = profile(0.3, grey, gloss=0.2)
    steps = fit_red_sides(WINDOW, luma, colours, t, 0.0, BLUR, LIMB, BACK, 1e-3)
    assert steps.position[0] == pytest.approx(0.3, abs=0.12)


def test_where_red_and_background_are_equally_bright_all_along_the_doubt_says_so() -> None:
    t, luma, colours = profile(0.3, 0.5)
    sharp = fit_red_sides(WINDOW, luma, colours, t, 0.3, BLUR, LIMB, BACK, 1e-3).sigma[0]
    t, luma, colours = profile(0.3, 0.05)  # its limb's luma
    assert fit_red_sides(WINDOW, luma, colours, t, 0.3, BLUR, LIMB, BACK, 1e-3).sigma[0] > 5 * sharp
