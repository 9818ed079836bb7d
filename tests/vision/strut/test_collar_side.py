"""The chamfer's height from the collar's outline: outlines of known cylinders in, their height out."""

import numpy as np
import pytest

from vision.camera import Camera
from vision.cylinder import Axis
from vision.strut.collar_side import chamfer_height
from vision.strut.collect import NOTHING, Edge, outline_course
from vision.strut.model import Points

CAMERA = Camera(4000.0, 1500.0, 2000.0)
AXIS = Axis(
    np.array([20.0, 30.0, 900.0]), np.array([0.05, -0.995, 0.08]) / np.hypot(0.995, np.hypot(0.05, 0.08))
)
RIM = 49.0


def side(radius: float, which: float, share: float = 1.0, noise_px: float = 0.0) -> Edge:
    px, normal = outline_course(CAMERA, AXIS, radius, which, np.linspace(5, 18, 8))
    off = np.random.default_rng(1).normal(0, 1, (8, 1)) * noise_px
    return Edge(Points(px + off * normal, np.full(8, 0.1)), share, 0.2, 1.0, 0.0)


@pytest.mark.parametrize("chamfer", [0.0, 0.6, 1.5, 3.0])
def test_the_height_is_what_the_sides_stand_beyond_the_rim(chamfer: float) -> None:
    found = chamfer_height((side(RIM + chamfer, -1.0), side(RIM + chamfer, 1.0)), CAMERA, AXIS, RIM)
    assert found is not None
    assert found[0] == pytest.approx(chamfer, abs=0.02)
    assert 0.2 <= found[1] <= 0.5


def test_one_side_tells_it_less_surely_and_sides_that_differ_still_less() -> None:
    both = chamfer_height((side(50.0, -1.0), side(50.0, 1.0)), CAMERA, AXIS, RIM)
    one = chamfer_height((NOTHING, side(50.0, 1.0)), CAMERA, AXIS, RIM)
    apart = chamfer_height((side(49.2, -1.0), side(50.8, 1.0)), CAMERA, AXIS, RIM)
    assert both is not None and one is not None and apart is not None
    assert both[0] == pytest.approx(one[0], abs=0.02)
    assert both[1] < one[1] < apart[1]


def test_sides_half_hidden_or_scattered_tell_nothing() -> None:
    assert chamfer_height((NOTHING, NOTHING), CAMERA, AXIS, RIM) is None
    assert chamfer_height((side(50.0, -1.0, share=0.4), NOTHING), CAMERA, AXIS, RIM) is None
    assert chamfer_height((side(50.0, -1.0, noise_px=6.0), NOTHING), CAMERA, AXIS, RIM) is None
