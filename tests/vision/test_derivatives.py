"""Every derivative in closed form against differences of the function that it belongs to."""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.camera import Camera, rotation_from_vector, turn_by_vector
from vision.cylinder import Axis
from vision.cylinder.model import (
    AxisModel,
    outline_linear,
    outline_residuals,
    ring_linear,
    ring_residuals,
)
from vision.scale.model import STEPS, CardModel

Array = NDArray[np.float64]
UP = np.array([0.05, -0.99, 0.13]) / np.linalg.norm([0.05, -0.99, 0.13])
CAMERA = Camera(3000.0, 2015.5, 1511.5, 0.04, 3e-4, -2e-4)
MODEL = AxisModel(Axis(np.array([30.0, -20.0, 700.0]), UP))
RADIUS, PLACE, SCALE = 30.0, 12.0, 4.2
LENS_AND_AXIS = np.array([0.0, 0.04, 3e-4, -2e-4, 0.4, -0.3, 2e-3, -1e-3, RADIUS, PLACE])
NUDGES = np.array([1e-5, 1e-5, 1e-6, 1e-6, 1e-3, 1e-3, 1e-6, 1e-6, 1e-3, 1e-3])


def by_steps(function: Callable[[Array], Array], at: Array, steps: Array) -> Array:
    """Central differences: the derivatives in a last dimension more."""
    return np.stack([(function(at + d) - function(at - d)) / (2 * d.sum()) for d in np.diag(steps)], axis=-1)


def rays_of(p: Array, px: Array) -> Array:
    lens = Camera(3000.0 * float(np.exp(p[0])), 2015.5, 1511.5, float(p[1]), float(p[2]), float(p[3]))
    return lens.rays(px)


def on_cylinder(sine: Array, s: float) -> Array:
    """Pixels (N, 2) of points of the ring at s, at these sines of the azimuth."""
    axis = MODEL.guess
    front = -axis.point / np.linalg.norm(axis.point)
    points = axis.at(s) + RADIUS * (sine[:, None] * axis.lateral + np.sqrt(1 - sine**2)[:, None] * front)
    return CAMERA.project(points)


def test_an_outline_changes_with_lens_axis_and_radius_as_its_differences_do() -> None:
    px = on_cylinder(np.linspace(0.9, 1.0, 7), 20.0)

    def residuals(p: Array) -> Array:
        return outline_residuals(rays_of(p, px), MODEL.axis(p[4:8]), float(p[8]), 1.0, SCALE)

    rays = CAMERA.rays(px)
    value, jac = outline_linear(
        rays, CAMERA.rays_by_lens(rays), MODEL, LENS_AND_AXIS[4:8], RADIUS, 1.0, SCALE
    )
    assert value == pytest.approx(residuals(LENS_AND_AXIS), abs=1e-9)
    expected = by_steps(residuals, LENS_AND_AXIS, NUDGES)[:, :9]
    assert np.abs(jac - expected).max() < 1e-5 * np.abs(expected).max()


def test_a_ring_changes_with_lens_axis_radius_and_place_as_its_differences_do() -> None:
    px = on_cylinder(np.linspace(-0.8, 0.8, 9), PLACE)

    def residuals(p: Array) -> Array:
        return ring_residuals(rays_of(p, px), MODEL.axis(p[4:8]), float(p[9]), float(p[8]), SCALE)

    rays = CAMERA.rays(px)
    known = ring_linear(rays, CAMERA.rays_by_lens(rays), MODEL, LENS_AND_AXIS[4:8], RADIUS, PLACE, SCALE)
    assert known is not None
    assert known[0] == pytest.approx(residuals(LENS_AND_AXIS), abs=1e-9)
    expected = by_steps(residuals, LENS_AND_AXIS, NUDGES)
    assert np.abs(known[1] - expected).max() < 1e-5 * np.abs(expected).max()


def test_rays_that_miss_the_cylinder_have_no_closed_form() -> None:
    rays = CAMERA.rays(np.array([[0.0, 0.0], [2100.0, 1400.0]]))
    by_lens = CAMERA.rays_by_lens(rays)
    assert ring_linear(rays, by_lens, MODEL, np.zeros(4), RADIUS, PLACE, SCALE) is None


def test_card_points_move_in_the_picture_as_their_differences_do() -> None:
    turned = rotation_from_vector(np.array([0.1, -0.2, 0.05]))
    model = CardModel(CAMERA, turned, np.array([20.0, -10.0, 600.0]), np.array([30.0, 100.0]))
    theta = np.array([2e-3, 0.04, 3e-4, -2e-4, 0.02, -0.01, 0.03, 1.0, -2.0, 3.0, 1e-4, 1.002, 0.997])
    mm = np.random.default_rng(4).uniform(0, 200, (12, 2))
    px, jac = model.project_linear(theta, mm)
    assert px == pytest.approx(model.project(theta, mm), abs=1e-9)
    expected = by_steps(lambda p: model.project(p, mm), theta, STEPS)
    wrong = np.abs(jac - expected).max(axis=(0, 1))
    assert (wrong < 1e-4 * np.abs(expected).max(axis=(0, 1))).all()


def test_a_rotation_vector_turns_as_its_differences_do() -> None:
    w, v = np.array([0.4, -0.3, 0.8]), np.array([1.0, 2.0, -0.5])
    moved = by_steps(lambda p: rotation_from_vector(p) @ v, w, np.full(3, 1e-6))
    now = rotation_from_vector(w) @ v
    expected = np.column_stack([np.cross(turn, now) for turn in turn_by_vector(w).T])
    assert moved == pytest.approx(expected, abs=1e-8)
