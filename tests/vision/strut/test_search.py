"""The band's edge and sides on painted views: a leaning ring, glare over the edge, a side cut off."""

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis
from vision.strut.search import find_band_edge, find_band_sides
from vision.strut.window import Straightened, Window, straighten

CAMERA = Camera(3000.0, 399.5, 299.5)
UP = np.array([0.0, -np.cos(0.15), -np.sin(0.15)])  # leaning towards the camera: seen 8.6° from above
AXIS = Axis(np.array([0.0, 0.0, 1000.0]), UP)
RADIUS, EDGE, HEIGHT = 31.0, 8.0, 16.0
RED, CHROME, BURNT = np.array([0.4, 0.05, 0.05]), 0.3, 0.9


def painted(edge_of: Axis = AXIS) -> tuple[Straightened, NDArray[np.float64]]:
    """A view of a red band on grey chrome, its edge square to `edge_of`, and the edge's course in it."""
    blank = np.zeros((600, 800, 3), np.float32)
    window = Window(blank, blank[..., 0], np.zeros(2), 2e-3, np.ones(3), 1.0)
    view = straighten(window, CAMERA, AXIS, 60.0, -30.0, 60.0)
    course = replace(view, axis=edge_of).ring_course(EDGE, RADIUS)
    s = view.s_mm[:, None]
    red = (s < course) & (s > course - HEIGHT)
    return coloured(view, np.where(red[..., None], RED, CHROME)), course


def coloured(view: Straightened, light: NDArray[np.float64]) -> Straightened:
    """The view as if this light had been resampled."""
    result = replace(view)
    vars(result).update(colour=light.astype(np.float32), luma=light.mean(axis=2).astype(np.float32))
    return result


def test_the_edge_tells_the_ring_and_how_the_axis_must_turn_to_it() -> None:
    view, _ = painted()
    edge = find_band_edge(view, RADIUS, 0.0)
    assert edge is not None
    assert (edge.s_mm, edge.height_mm) == (pytest.approx(EDGE, abs=0.3), pytest.approx(HEIGHT, abs=0.5))
    assert (edge.tan_turn, edge.tan_lean) == (pytest.approx(0.0, abs=0.02), pytest.approx(0.0, abs=0.01))


@pytest.mark.parametrize(("towards", "left"), [(0.06, 0.0), (-0.06, 0.0), (0.0, 0.08), (0.03, -0.08)])
def test_a_ring_square_to_another_axis_asks_for_a_turn_towards_it(towards: float, left: float) -> None:
    toward = np.cross(UP, AXIS.lateral)
    toward *= -np.sign(toward[2])
    other = UP + towards * toward - left * AXIS.lateral
    view, _ = painted(Axis(AXIS.point, other / np.linalg.norm(other)))
    edge = find_band_edge(view, RADIUS, 0.0)
    assert edge is not None
    assert edge.tan_turn == pytest.approx(towards, abs=0.025)
    assert edge.tan_lean == pytest.approx(left, abs=0.015)


def test_glare_that_burns_the_edge_away_does_not_turn_the_axis() -> None:
    view, course = painted()
    light = view.colour.astype(float)
    middle = np.abs(view.x_mm + 5) < 12
    light[(view.s_mm[:, None] > course - 7) & middle] = 1.0
    glared = coloured(view, light)
    edge, misled = (find_band_edge(glared, RADIUS, 0.0, burnt) for burnt in (BURNT, np.inf))
    assert edge is not None
    assert misled is not None
    assert edge.tan_turn == pytest.approx(0.0, abs=0.02)
    assert misled.tan_turn > 0.2


def test_a_card_over_one_side_ends_the_band_where_it_ends_it() -> None:
    view, _ = painted()
    light = view.colour.astype(float)
    light[:, view.x_mm < -20.0] = 0.9
    cut = coloured(view, light)
    edge = find_band_edge(cut, RADIUS, 0.0)
    assert edge is not None
    sides = find_band_sides(cut, RADIUS, edge)
    assert sides is not None
    assert sides.left_mm == pytest.approx(-20.0, abs=0.5)
    assert sides.right_mm == pytest.approx(RADIUS, abs=0.5)
