"""Cases of the benchmark: the same for ever, and apart from each other."""

from dataclasses import replace

import numpy as np
import pytest

from tests.accuracy.draw import draw, in_hand
from tests.accuracy.faults import FAULTS, faulty
from tests.accuracy.hard import FEATURES, draw_hard, draw_kind
from vision.leg import read_leg


def test_the_sets_are_drawn_by_name() -> None:
    assert draw_kind("fair", 3) == in_hand(draw(3, True))
    assert draw_kind("wide", 3) == in_hand(draw(3, False))
    assert draw_kind("hard", 3) == draw_hard(3)
    with pytest.raises(ValueError, match='"fair", "wide" and "hard"'):
        draw_kind("easy", 3)


def test_a_hand_turns_the_camera_by_a_few_hundredths_of_a_degree_and_changes_nothing_else() -> None:
    cases = [draw(seed, True) for seed in range(200)]
    held = [in_hand(case) for case in cases]
    assert held == [in_hand(case) for case in cases]
    turns = np.array([case.scene.shutter for case in held])
    # 2°/s over 20 ms, in the share of the picture's height that a focal length is.
    share = np.mean([case.scene.focal_px / case.scene.height_px for case in cases])
    assert turns.std() == pytest.approx(np.radians(2) * 0.02 * share, rel=0.25)
    still = replace(held[0], scene=replace(held[0].scene, shutter=(0.0, 0.0)))
    assert still == cases[0]


def test_fair_and_wide_scenes_have_no_extras() -> None:
    assert all(draw(seed, fair).scene.extras is None for seed in range(20) for fair in (True, False))


def test_every_feature_comes_up_among_hard_scenes_and_is_drawn_the_same_again() -> None:
    cases = [draw_hard(seed) for seed in range(150)]
    assert {name for case in cases for name in case.features} == set(FEATURES)
    assert cases[:5] == [draw_hard(seed) for seed in range(5)]


def test_a_wiper_lip_makes_truth_and_leg_shorter_alike() -> None:
    case = next(c for c in map(draw_hard, range(200)) if "wiper lip" in c.features)
    assert case.scene.extras is not None
    assert case.truth_offset_mm == case.leg_changes["collar_recess_mm"] == -case.scene.extras.lip_mm


def test_a_fault_is_the_same_scene_with_one_thing_wrong() -> None:
    right = draw(4, True)
    assert right.stand_off_told is not None
    told = faulty("stand-off told 5 mm wrong", 4).stand_off_told
    assert told is not None
    assert abs(told[0] - right.stand_off_told[0]) == pytest.approx(5.0)
    assert faulty("card bent to 0.5 m", 4).scene.card_bend_radius_mm in (-500.0, 500.0)
    exchanged = faulty("collar and piston exchanged", 4).leg_changes
    assert exchanged["piston_diameter_mm"] == right.scene.collar_diameter_mm
    assert all(faulty(name, 4).scene.seed == right.scene.seed for name in FAULTS)


def test_the_demo_leg_of_a_rendered_scene_can_be_read_with_its_wrong_diameters() -> None:
    from tests.accuracy.rendered_scenes import rendered_scene  # noqa: PLC0415 - slow to import

    scenes = [rendered_scene("wide", 0, k) for k in range(60)]
    wrong = [s for s in scenes if "wrong piston diameter" in s.features]
    assert wrong
    strut = read_leg(wrong[0].leg, "scene").require_strut()
    assert strut.piston_diameter_mm != wrong[0].scene.leg.piston_mm
    assert strut.piston_diameter_mm == pytest.approx(wrong[0].scene.leg.piston_mm, rel=0.021)
