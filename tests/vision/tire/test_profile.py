"""The sidewall as a surface, held against the scene's own and against geometry that needs no scene."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel_scene import WheelScene, sidewall_depth
from vision.tire.profile import (
    Ground,
    Shape,
    contact_width_share,
    depth_at,
    grazed_diameter,
    meet,
    outline_course,
    to_camera,
)
from vision.wheel import CirclePose

SHAPE = Shape(95.25, 445.0, 160.0, 18.0)
GROUND = Ground(np.array([0.0, 1.0]), 182.0)
POSE = CirclePose(np.array([30.0, -20.0, 1000.0]), np.array([0.2, 0.1, -0.9747]), 95.25)


def test_the_flange_edge_lies_in_the_wheels_plane() -> None:
    assert depth_at(SHAPE, None, np.array([95.25]), np.zeros(1))[0] == pytest.approx(0, abs=0.05)


def test_the_rim_holds_the_bead_over_the_contact_too() -> None:
    a = np.radians(np.arange(0, 360, 5))
    x, y = 95.25 * np.sin(a), 95.25 * np.cos(a)
    np.testing.assert_allclose(depth_at(SHAPE, GROUND, x, y), 0, atol=0.05)


def test_with_the_scenes_own_numbers_it_is_the_scenes_surface() -> None:
    scene = WheelScene(exponent=2.25, contact_bulge=0.0)
    x, y = np.array([-140.0, 0.0, 100.0, -60.0]), np.array([0.0, -150.0, -100.0, -120.0])
    np.testing.assert_allclose(depth_at(SHAPE, None, x, y), sidewall_depth(scene, x, y), rtol=0, atol=0.02)


def test_over_the_contact_it_stands_on_the_ground_as_wide_as_smiley_and_horne_say() -> None:
    depth = depth_at(SHAPE, GROUND, np.zeros(1), np.array([182.0]))[0]
    low, high, half_width, middle = SHAPE.section
    assert low < high
    assert (middle - depth) / half_width == pytest.approx(contact_width_share(SHAPE, 182.0), abs=0.01)


def test_the_contact_width_is_that_of_the_formula() -> None:
    # R. Smiley and W. Horne, NASA TR R-64 (1960), from memory; computed here by hand for δ/w = 0.25.
    share = contact_width_share(replace(SHAPE, width=162.0), 222.5 - 40.5)
    assert share == pytest.approx(1.7 * np.sqrt(0.25 - 2.5 * 0.25**4 + 1.5 * 0.25**6))


@pytest.mark.parametrize("ground", [None, GROUND])
def test_a_ray_meets_the_surface_where_it_was_sent_from(ground: Ground | None) -> None:
    rng = np.random.default_rng(4)
    r, a = rng.uniform(105, 165, 60), rng.uniform(0, 2 * np.pi, 60)
    x, y = r * np.cos(a), r * np.sin(a)
    points = np.column_stack([x, y, depth_at(SHAPE, ground, x, y)])
    seen = to_camera(POSE, points)
    found = meet(SHAPE, ground, POSE, seen / seen[:, 2:])
    np.testing.assert_allclose(found, points, rtol=0, atol=0.02)


@pytest.mark.parametrize("diameter", [430.0, 445.0, 460.0])
def test_a_ray_along_the_outline_tells_the_outside_diameter(diameter: float) -> None:
    # The outline's course is a search over the section, so it is only near the true one.
    course = outline_course(replace(SHAPE, outside_diameter=diameter), POSE, np.linspace(-2, 2, 40))
    found, _ = grazed_diameter(SHAPE, POSE, course / course[:, 2:])
    assert np.median(found) == pytest.approx(diameter, abs=1.5)


def test_moving_by_no_sigmas_changes_nothing_and_by_one_changes_one_number() -> None:
    assert SHAPE.by(np.zeros(7)) == SHAPE
    for name, moved in SHAPE.moved().items():
        changed = [f for f in vars(SHAPE) if getattr(moved, f) != getattr(SHAPE, f)]
        assert len(changed) == 1, name
