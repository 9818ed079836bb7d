"""The renderer of wheels held against its own geometry: what it draws lies where `project` puts it."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel import cast_picture
from tests.scenes.wheel_scene import WheelScene, clock_direction, project, sidewall_depth, truth_of

SCENE = WheelScene(
    width_px=500, height_px=460, focal_px=700.0, clutter=0, tilt_deg=15.0, blur_px=0.6, k1=-0.05
)


def level_at(picture: np.ndarray, xyz: list[float], scene: WheelScene = SCENE) -> np.ndarray:
    x, y = np.round(project(scene, np.array([xyz]))[0]).astype(int)
    return picture[y, x]


def test_the_section_passes_through_the_flange_edge() -> None:
    r = SCENE.flange_radius
    assert sidewall_depth(SCENE, np.array([r]), np.array([0.0]))[0] == pytest.approx(0, abs=1e-9)


def test_it_does_so_over_the_contact_too() -> None:
    at = np.array([SCENE.flange_radius * clock_direction(float(clock)) for clock in range(0, 360, 5)])
    assert np.abs(sidewall_depth(SCENE, *at.T)).max() < 1e-9


def test_the_sidewall_bulges_towards_the_viewer_and_more_at_the_contact() -> None:
    r = SCENE.section[0]
    up, down = sidewall_depth(SCENE, np.zeros(2), np.array([-r, r]))
    assert down < up < -10


def test_rim_rubber_line_mark_and_ground_lie_where_they_are_projected() -> None:
    picture = cast_picture(SCENE)
    half = SCENE.flange_radius
    assert level_at(picture, [-0.95 * half, 0, 0]).mean() > 0.4
    top = sidewall_depth(SCENE, np.array([0.0]), np.array([-150.0]))[0]
    assert level_at(picture, [0, -150, top]).mean() < 0.08
    y = half + 0.5 * (SCENE.outside_diameter_mm / 2 - half)
    at = sidewall_depth(SCENE, np.array([0.0]), np.array([y]))[0]
    assert level_at(picture, [0, y, at]).mean() > 0.25
    for radius in (half - 12, half + 12):
        x, y = radius * clock_direction(60.0)
        z = 0.0 if radius < half else sidewall_depth(SCENE, np.array([x]), np.array([y]))[0]
        red, green, _ = level_at(picture, [x, y, z])
        assert red > 3 * green
    assert 0.1 < level_at(picture, [150, SCENE.loaded_radius_mm, -150]).mean() < 0.4


def test_a_crept_tire_part_stands_counter_clockwise_of_the_rim_part() -> None:
    picture = cast_picture(replace(SCENE, creep_deg=12.0))
    x, y = (SCENE.flange_radius + 12) * clock_direction(60.0 - 12.0)
    z = sidewall_depth(SCENE, np.array([x]), np.array([y]))[0]
    red, green, _ = level_at(picture, [x, y, z])
    assert red > 3 * green


def test_gravity_leans_against_the_ground_by_its_slope() -> None:
    truth = truth_of(replace(SCENE, ground_slope_deg=2.0, line_angle_deg=1.0))
    in_wheel = truth.rotation.T @ truth.gravity
    assert np.degrees(np.arctan2(in_wheel[0], in_wheel[1])) == pytest.approx(2.0, abs=1e-9)
    # Level by gravity is across gravity: counter-clockwise of the ground by the slope.
    assert truth.line_to_gravity_deg == pytest.approx(-1.0)


def test_deflection_follows_the_published_formula() -> None:
    # 17.5x6.25-6 (tire makers' data handbook, bias tires): OD 17.5/16.85 in, loaded radius 6.9, flange 7.5 in.
    mean = (17.5 + 16.85) / 2
    scene = WheelScene(outside_diameter_mm=mean * 25.4, loaded_radius_mm=6.9 * 25.4, flange_diameter_mm=190.5)
    assert truth_of(scene).deflection == pytest.approx((mean / 2 - 6.9) / (mean / 2 - 7.5 / 2), abs=1e-9)
    assert 0.30 < truth_of(scene).deflection < 0.40
