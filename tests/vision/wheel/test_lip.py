"""A flange's lip is round and dark where it turns away: its edge is seen smaller, and by how much is in doubt."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel_scene import pose
from tests.vision.wheel.test_flange import SMALL, fitted, true_root
from vision.wheel.flange import LIP, LIP_INSIDE_U_MM


def distance_mm(scene: object) -> float:
    rotation, place = pose(scene)  # type: ignore[arg-type]
    return float((rotation @ -place)[2])


@pytest.mark.parametrize(("lip_round_mm", "lip_dark_deg"), [(1.2, 30.0), (2.2, 45.0), (3.0, 55.0)])
def test_the_scale_holds_within_its_doubt_whether_the_lip_is_sharp_or_round(
    lip_round_mm: float, lip_dark_deg: float
) -> None:
    scene = replace(SMALL, tilt_deg=12.0, lip_round_mm=lip_round_mm, lip_dark_deg=lip_dark_deg)
    fit = true_root(scene, fitted(scene))
    # Size over distance is what a circle tells; the lip's edge is the greatest doubt of it.
    share = fit.pose.centre[2] / distance_mm(scene) * scene.focal_px / fit.camera.f_px
    share *= scene.flange_radius / fit.pose.radius_mm
    assert abs(share - 1) < 2 * (LIP_INSIDE_U_MM + 0.1) / scene.flange_radius


def test_the_lip_stands_in_the_budget_under_its_own_name() -> None:
    scene = replace(SMALL, tilt_deg=12.0)
    fit = true_root(scene, fitted(scene))
    by_source = fit.variance_by_source(fit.gradient(lambda pose, _: float(pose.centre[2])))
    expected = LIP_INSIDE_U_MM / scene.flange_radius * fit.pose.centre[2]
    assert np.sqrt(by_source[LIP]) == pytest.approx(expected, rel=0.15)
