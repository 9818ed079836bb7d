"""What a drawn tire may be told of better: the case stays, and what is left is what is said to be."""

import numpy as np
import pytest

from tests.scenes.tire_draw import draw_tire
from tests.scenes.tire_leg import leg_text
from tests.scenes.tire_told import PLUMBED, camera_of, plumbed, ways_of, width_known
from vision.leg import read_leg
from vision.level.witness import GRAVITY_KNOWN_U_DEG, GRAVITY_U_DEG

CASES = [draw_tire(seed, "fair") for seed in range(120)]
TOLD = [plumbed(case) for case in CASES]
WITH_GRAVITY = [told for told in TOLD if told.turned_deg is not None]


def test_the_scene_stays_and_the_same_case_is_told_the_same() -> None:
    for case, told in zip(CASES[:20], TOLD[:20], strict=True):
        assert told.scene == case.scene
        assert told == plumbed(case)
        assert width_known(case, 0.04).scene == case.scene


def test_only_a_file_with_gravity_has_a_phone_to_put_right() -> None:
    for told in TOLD:
        assert (told.gravity_error_deg is None) == (told.turned_deg is None) == (told.offset_deg is None)


def test_the_offset_in_the_calibration_leaves_what_a_known_phone_is_credited_with() -> None:
    own = np.array([told.turned_deg for told in WITH_GRAVITY], float)
    left = own - np.array([told.offset_deg for told in WITH_GRAVITY], float)
    assert 0.6 < own.std() < GRAVITY_U_DEG
    assert 0.75 * GRAVITY_KNOWN_U_DEG < left.std() < GRAVITY_KNOWN_U_DEG * 1.1
    assert abs(left.mean()) < 3 * left.std() / np.sqrt(len(left))


def test_the_offset_comes_to_the_measurement_in_a_calibration_that_all_such_phones_have() -> None:
    for told in WITH_GRAVITY:
        camera = camera_of(told)
        assert camera is not None
        assert camera.gravity_offset_deg == pytest.approx(told.offset_deg)
        assert camera.f_px == pytest.approx(told.scene.focal_px, rel=0.025)


def test_a_width_from_the_table_is_told_with_its_doubt() -> None:
    share = []
    for case in CASES:
        told = width_known(case, 0.04)
        tire = read_leg(leg_text(told), "case").tire
        assert tire is not None
        assert tire.section_width_u_mm == pytest.approx(0.04 / np.sqrt(3) * told.width_told, abs=0.01)
        share.append(case.scene.section_width_mm / told.width_told - 1)
    assert 0.03 < np.abs(share).max() <= 0.04
    assert "section_width_u_mm" not in leg_text(CASES[0])


def test_each_way_has_the_name_its_rows_get() -> None:
    assert list(ways_of(True, 0.04)) == [PLUMBED, "width ± 4 %"]
    assert not ways_of(False, None)
