"""The camera model against OpenCV's and SciPy's, and its two directions against each other."""

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from vision.camera import Camera, rotation_from_vector

Array = NDArray[np.float64]
STILL = Camera(3020.0, 2010.5, 1497.0)


def points_in_view(seed: int, n: int = 200) -> Array:
    """Points (n, 3) in mm within about ± 35° of the optical axis, 0.4 to 3 m away."""
    rng = np.random.default_rng(seed)
    depth = rng.uniform(400, 3000, n)
    return np.column_stack([rng.uniform(-0.7, 0.7, (n, 2)) * depth[:, None], depth])


@pytest.mark.parametrize("k1", [-0.12, -0.03, 0.0, 0.04, 0.1])
@pytest.mark.parametrize("stretch", [0.0, 0.002])
def test_projection_is_that_of_opencv(k1: float, stretch: float) -> None:
    # OpenCV, module calib3d, projectPoints: distortion coefficients (k1, k2, p1, p2).
    camera = Camera(3020.0, 2010.5, 1497.0, k1, stretch)
    points = points_in_view(1)
    theirs, _ = cv2.projectPoints(
        points, np.zeros(3), np.zeros(3), camera.matrix, np.array([k1, 0.0, 0.0, 0.0])
    )
    np.testing.assert_allclose(camera.project(points), theirs[:, 0], rtol=0, atol=1e-8)


@pytest.mark.parametrize("k1", [-0.06, 0.04])
def test_rays_are_those_of_opencv(k1: float) -> None:
    # undistortPoints iterates to a chosen accuracy, so its own criteria are made sharp.
    camera = Camera(3020.0, 2010.5, 1497.0, k1)
    pixels = camera.project(points_in_view(2))
    sharp = (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 200, 1e-12)
    theirs = cv2.undistortPoints(
        pixels[:, None], camera.matrix, np.array([k1, 0.0, 0.0, 0.0]), None, None, None, sharp
    )
    np.testing.assert_allclose(camera.rays(pixels)[:, :2], theirs[:, 0], rtol=0, atol=1e-9)


@pytest.mark.parametrize(
    ("k1", "stretch", "shear"),
    [(0.0, 0.0, 0.0), (0.1, 0.0, 0.0), (-0.1, 0.0, 0.0), (0.05, 0.004, -0.003), (-0.05, -0.01, 0.02)],
)
def test_rays_of_projected_points_go_back_through_them(k1: float, stretch: float, shear: float) -> None:
    camera = Camera(3020.0, 2010.5, 1497.0, k1, stretch, shear)
    points = points_in_view(3)
    rays = camera.rays(camera.project(points))
    np.testing.assert_allclose(rays, points / points[:, 2:], rtol=0, atol=1e-12)


def test_pixels_of_rays_are_the_pixels() -> None:
    camera = Camera(2800.0, 1999.5, 1499.5, 0.06, 0.001, 0.0005)
    rng = np.random.default_rng(4)
    pixels = rng.uniform([0, 0], [4000, 3000], (300, 2))
    np.testing.assert_allclose(camera.project(camera.rays(pixels)), pixels, rtol=0, atol=1e-8)


def test_the_ray_of_the_principal_point_is_the_optical_axis() -> None:
    camera = Camera(3020.0, 2010.5, 1497.0, 0.08)
    np.testing.assert_array_equal(camera.rays(np.array([[2010.5, 1497.0]])), [[0.0, 0.0, 1.0]])


def test_axes_point_right_down_and_away() -> None:
    pixel = STILL.project(np.array([[10.0, 20.0, 1000.0]]))[0]
    assert pixel == pytest.approx([2010.5 + 30.2, 1497.0 + 60.4])


def test_shear_turns_the_picture_into_a_parallelogram() -> None:
    # M = [[1 + stretch, shear], [shear, 1 - stretch]], by hand.
    camera = Camera(1000.0, 0.0, 0.0, 0.0, 0.01, 0.02)
    pixel = camera.project(np.array([[0.1, 0.2, 1.0]]))[0]
    assert pixel == pytest.approx([1000 * (0.101 + 0.004), 1000 * (0.002 + 0.198)])


def test_without_distortion_straight_lines_are_straight() -> None:
    camera = Camera(3020.0, 2010.5, 1497.0, 0.1, 0.001, 0.002)
    line = np.array([-300.0, 500.0, 900.0]) + np.linspace(0, 1, 20)[:, None] * np.array([900.0, 40.0, 300.0])

    def bow(c: Camera) -> float:
        centred = c.project(line) - c.project(line).mean(axis=0)
        return float(np.linalg.svd(centred)[1][1])

    assert bow(camera) > 1
    assert bow(camera.without_distortion()) < 1e-9


@pytest.mark.parametrize("size", [0.0, 1e-12, 1e-8, 1e-4, 0.3, 2.0, 3.1, np.pi, 5.0])
def test_rotation_is_that_of_opencv_and_scipy(size: float) -> None:
    axis = np.array([0.48, -0.6, 0.64])
    ours = rotation_from_vector(size * axis)
    np.testing.assert_allclose(ours, cv2.Rodrigues(size * axis)[0], rtol=0, atol=1e-12)
    np.testing.assert_allclose(ours, Rotation.from_rotvec(size * axis).as_matrix(), rtol=0, atol=1e-12)
