"""Level in the wheel's plane from each witness, held against the scene's truth; and their agreement."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelScene, project, truth_of
from vision import notes
from vision.level import (
    Level,
    choose_level,
    from_gravity,
    from_ground_taps,
    from_horizon,
    from_level_edge,
    from_plumb_line,
)
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Refusal
from vision.scale.model import CameraKnowledge
from vision.wheel import WheelFit, fit_flange

SCENE = WheelScene(
    width_px=800, height_px=740, focal_px=1250.0, clutter=0, tilt_deg=14.0, pitch_deg=6.0, roll_deg=4.0,
    ground_slope_deg=1.0,
)  # fmt: skip
TRUTH = truth_of(SCENE)


@cache
def wheel() -> WheelFit:
    pixels = np.ascontiguousarray(render(SCENE)[0])
    photo = Photo(pixels, PhotoFacts("PNG", 800, 740, FocalPrior(1250.0, 5.0, "scene")))
    a = np.arange(8) * np.pi / 4
    taps = project(SCENE, 95.25 * np.column_stack([np.cos(a), np.sin(a), 0 * a]))
    known = CameraKnowledge(1250.0, 5.0, 399.5, 369.5, 0.0, 0.005)
    found = fit_flange(photo, known, 190.5, 0.5, taps)
    assert not isinstance(found, Refusal)
    true = TRUTH.rotation @ [0.0, 0.0, -1.0]
    return max(found, key=lambda fit: float(fit.pose.normal @ true))


def true_angle(direction: np.ndarray) -> float:
    """Angle in the fitted frame of a direction of the wheel's own true frame."""
    x, y, _ = wheel().pose.frame
    d = TRUTH.rotation @ direction
    return float(np.degrees(np.arctan2(-d @ y, d @ x)))


GROUND = np.array([1.0, 0.0, 0.0])
LEVEL = np.array([np.cos(np.radians(1.0)), -np.sin(np.radians(1.0)), 0.0])


def test_gravity_gives_level_across_it() -> None:
    level = from_gravity(wheel(), np.array(TRUTH.gravity), 0.3)
    assert level is not None
    assert level.angle_deg == pytest.approx(true_angle(LEVEL), abs=0.05)
    assert 0.3 <= level.u_deg < 0.35
    assert level.reference == "gravity"


def test_the_horizon_gives_level_whichever_way_the_wheel_is_turned() -> None:
    # Two places a kilometre away, as high as the camera, level by gravity.
    rotation, place = TRUTH.rotation, -TRUTH.rotation.T @ TRUTH.centre
    down = rotation.T @ np.array(TRUTH.gravity)
    ahead = np.cross(np.cross(down, [0.0, 0.0, 1.0]), down)
    aside = np.cross(down, ahead)
    far = [place + 1e6 * (ahead + share * aside) for share in (-0.25, 0.22)]
    level = from_horizon(wheel(), project(SCENE, np.array(far)))
    assert level is not None
    assert level.angle_deg == pytest.approx(true_angle(LEVEL), abs=0.1)
    assert 0.5 <= level.u_deg < 0.7
    assert (level.source, level.reference) == ("horizon", "gravity")


def test_a_short_piece_of_the_horizon_leaves_more_doubt() -> None:
    wide, short = (from_horizon(wheel(), np.array([[100.0, 200], [x, 205]])) for x in (700.0, 150.0))
    assert wide is not None and short is not None
    assert short.u_deg > 3 * wide.u_deg


def test_a_phone_whose_own_offset_is_known_is_put_right_and_leaves_less_doubt() -> None:
    a = np.radians(1.5)
    x, y, z = TRUTH.gravity
    told = np.array([x * np.cos(a) - y * np.sin(a), y * np.cos(a) + x * np.sin(a), z])  # 1.5° clockwise
    right = from_gravity(wheel(), told, offset_deg=1.5)
    plain = from_gravity(wheel(), told)
    assert right is not None and plain is not None
    assert right.angle_deg == pytest.approx(true_angle(LEVEL), abs=0.05)
    assert right.u_deg < 0.5 < plain.u_deg


def test_gravity_along_the_axle_gives_no_level() -> None:
    assert from_gravity(wheel(), -wheel().pose.normal) is None


def test_a_card_held_level_gives_level_whichever_way_its_edge_runs() -> None:
    edge = TRUTH.rotation @ LEVEL
    for direction in (edge, -edge):
        level = from_level_edge(wheel(), direction, 0.2)
        assert level.angle_deg == pytest.approx(true_angle(LEVEL), abs=0.05)


@pytest.mark.parametrize("depth", [-120.0, 0.0, 150.0])
def test_a_plumb_line_gives_level_at_any_depth(depth: float) -> None:
    down = np.array([np.sin(np.radians(1.0)), np.cos(np.radians(1.0)), 0.0])
    start = np.array([-130.0, -150.0, depth])
    px = project(SCENE, np.array([start, start + 250 * down]))
    level = from_plumb_line(wheel(), px)
    assert level.angle_deg == pytest.approx(true_angle(LEVEL), abs=0.1)
    assert 0.2 < level.u_deg < 1.0


def test_an_axle_that_leans_stays_within_the_plumb_lines_doubt() -> None:
    lean = np.radians(1.0)
    down = np.array([np.sin(np.radians(1.0)), np.cos(np.radians(1.0)), np.tan(lean)])
    start = np.array([-130.0, -150.0, 0.0])
    px = project(SCENE, np.array([start, start + 250 * down]))
    level = from_plumb_line(wheel(), px, u_px=0.05)
    error = abs(level.angle_deg - true_angle(LEVEL))
    assert 0.05 < error < 1.96 * level.u_deg


def test_two_taps_at_the_contact_give_the_ground_and_not_gravity() -> None:
    depth = -25.0
    px = project(SCENE, np.array([[-60.0, 182.0, depth], [60.0, 182.0, depth]]))
    for points in (px, px[::-1]):
        level = from_ground_taps(wheel(), points, depth, 8.0)
        assert level.angle_deg == pytest.approx(true_angle(GROUND), abs=0.05)
        assert level.reference == "ground"


def test_a_contact_taken_for_deeper_at_one_end_is_in_the_doubt() -> None:
    px = project(SCENE, np.array([[-60.0, 182.0, -25.0], [60.0, 182.0, -25.0]]))
    sure = from_ground_taps(wheel(), px, -25.0, 0.0, u_px=0.3)
    unsure = from_ground_taps(wheel(), px, -25.0, 8.0, u_px=0.3)
    assert unsure.u_deg > 1.2 * sure.u_deg


A = Level(0.3, 0.2, "plumb line", "gravity")
B = Level(0.0, 0.4, "gravity in the file", "gravity")
C = Level(1.2, 0.3, "ground contact, two taps", "ground")


def test_the_least_doubtful_witness_of_the_reference_speaks() -> None:
    assert choose_level([B, A, C], "gravity") == A
    assert choose_level([B, A, C], "ground") == C


def test_a_lent_witness_carries_the_floors_slope() -> None:
    level = choose_level([A, B], "ground")
    assert isinstance(level, Level)
    assert level.source == "plumb line"
    assert level.u_deg == pytest.approx(np.hypot(0.2, 0.6614), abs=1e-3)


def test_witnesses_that_contradict_each_other_are_refused_by_name() -> None:
    found = choose_level([A, replace(B, angle_deg=1.5)], "gravity")
    assert isinstance(found, Refusal)
    assert found.remedy == notes.LEVELS_DISAGREE
    assert "plumb line and gravity in the file 1.2° apart" in found.reason


def test_ground_and_gravity_may_differ_by_a_floors_slope_and_no_more() -> None:
    assert choose_level([A, C], "ground") == C
    found = choose_level([A, replace(C, angle_deg=2.5)], "ground")
    assert isinstance(found, Refusal)
    assert found.advice == notes.LEVELS_DISAGREE.advice


def test_no_witness_is_a_refusal() -> None:
    found = choose_level([], "ground")
    assert isinstance(found, Refusal)
    assert found.reason == "Nothing in the photo tells what is level."


def test_an_unknown_reference_is_an_error() -> None:
    with pytest.raises(ValueError, match='"ground" or "gravity", not "horizon"'):
        choose_level([A], "horizon")
