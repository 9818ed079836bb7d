"""The flange fitted on pictures with known truth: its plane, its doubt, and what is refused.

Seeds and scenes are small in number here; figures belong to a benchmark.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelScene, project, truth_of
from vision import notes
from vision.camera import Camera
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.results import Refusal
from vision.scale.model import CameraKnowledge
from vision.wheel import CirclePose, WheelFit, fit_flange
from vision.wheel.flange import STEPS, off_circle
from vision.wheel.rim_edge import EdgePoints

SMALL = WheelScene(width_px=900, height_px=840, focal_px=1400.0, clutter=3)


@lru_cache(maxsize=16)
def photo_of(scene: WheelScene) -> Photo:
    pixels = np.ascontiguousarray(render(scene)[0])
    facts = PhotoFacts("JPEG", scene.width_px, scene.height_px, FocalPrior(scene.focal_px, 10.0, "scene"))
    return Photo(pixels, facts)


def known(scene: WheelScene) -> CameraKnowledge:
    cx, cy = (scene.width_px - 1) / 2, (scene.height_px - 1) / 2
    return CameraKnowledge(scene.focal_px, 0.005 * scene.focal_px, cx, cy, scene.k1, 0.005)


def taps(scene: WheelScene, first_deg: float = 0, span_deg: float = 360, share: float = 1.0) -> np.ndarray:
    a = np.radians(first_deg + span_deg * np.arange(8) / 8)
    radius = share * scene.flange_diameter_mm / 2
    at = project(scene, radius * np.column_stack([np.cos(a), np.sin(a), 0 * a]))
    return at + np.random.default_rng(5).normal(size=at.shape) * 1.5


def fitted(scene: WheelScene, rim_px: np.ndarray | None = None) -> tuple[WheelFit, WheelFit] | Refusal:
    at = taps(scene) if rim_px is None else rim_px
    return fit_flange(photo_of(scene), known(scene), scene.flange_diameter_mm, 0.5, at)


def true_root(scene: WheelScene, found: tuple[WheelFit, WheelFit] | Refusal) -> WheelFit:
    assert not isinstance(found, Refusal)
    return min(found, key=lambda fit: normal_error_deg(scene, fit))


def normal_error_deg(scene: WheelScene, fit: WheelFit) -> float:
    true = truth_of(scene).rotation @ [0.0, 0.0, -1.0]
    return float(np.degrees(np.arccos(np.clip(fit.pose.normal @ true, -1, 1))))


@pytest.mark.parametrize("tilt", [-10, 4, 12, 20, 30])
def test_one_root_is_the_true_plane_within_its_doubt(tilt: float) -> None:
    scene = replace(SMALL, tilt_deg=tilt, seed=abs(tilt))
    fit = true_root(scene, fitted(scene))
    # Two turns at 99.9 %: √13.8 of the larger standard uncertainty.
    assert normal_error_deg(scene, fit) < 3.7 * fit.normal_u_deg
    assert normal_error_deg(scene, fit) < 0.3


def test_the_two_roots_lean_to_opposite_sides() -> None:
    scene = replace(SMALL, tilt_deg=20.0)
    found = fitted(scene)
    assert not isinstance(found, Refusal)
    between = np.degrees(np.arccos(found[0].pose.normal @ found[1].pose.normal))
    assert between == pytest.approx(40, abs=3)


def test_a_second_circle_of_the_rim_comes_out_at_its_own_size() -> None:
    scene = replace(SMALL, tilt_deg=12.0)
    fit = true_root(scene, fitted(scene))
    a = np.linspace(0, 2 * np.pi, 40)
    radius = scene.second_circle * scene.flange_diameter_mm / 2
    px = project(scene, radius * np.column_stack([np.cos(a), np.sin(a), 0 * a]))
    xy = fit.rectify(px)
    # The lip's edge is known to 0.4 mm, and to 0.3 mm to one side.
    np.testing.assert_allclose(np.hypot(xy[:, 0], xy[:, 1]), radius, rtol=0, atol=0.5)


def test_a_third_of_the_flange_is_enough() -> None:
    scene = replace(SMALL, tilt_deg=15.0, hidden_clock_deg=(230.0, 90.0))
    fit = true_root(scene, fitted(scene, taps(scene, 0, 145)))
    whole_scene = replace(SMALL, tilt_deg=15.0)
    whole = true_root(whole_scene, fitted(whole_scene))
    assert normal_error_deg(scene, fit) < 3.7 * fit.normal_u_deg
    assert fit.normal_u_deg > 2 * whole.normal_u_deg


def test_less_than_a_third_of_the_flange_is_refused() -> None:
    scene = replace(SMALL, tilt_deg=15.0, hidden_clock_deg=(190.0, 90.0))
    found = fitted(scene, taps(scene, 0, 110))
    assert isinstance(found, Refusal)
    assert found.remedy in (notes.FLANGE_NOT_FOUND, notes.FLANGE_NOT_ROUND)
    assert "around the flange's outer edge" in found.advice or "on the flange's outer edge" in found.advice


def test_points_tapped_on_nothing_are_refused() -> None:
    at = np.array([[100.0, 100.0], [140.0, 100.0], [160.0, 130.0], [140.0, 160.0], [100.0, 160.0], [80, 130]])
    found = fitted(SMALL, at)
    assert isinstance(found, Refusal)
    assert found.reason.startswith("The edge")


def test_four_points_are_refused_with_their_number() -> None:
    found = fitted(SMALL, taps(SMALL)[:4])
    assert isinstance(found, Refusal)
    assert "needs five points, got 4" in found.reason


def test_the_diameters_doubt_is_in_the_distance_and_not_in_the_plane() -> None:
    scene = replace(SMALL, tilt_deg=12.0)
    fit = true_root(scene, fitted(scene))
    distance = fit.solution.variance_by_source(
        fit.gradient(lambda pose, _: float(np.linalg.norm(pose.centre)))
    )
    lean = fit.solution.variance_by_source(fit.gradient(lambda pose, _: pose.tilt_deg))
    assert distance["flange diameter"] ** 0.5 == pytest.approx(1000 * 0.5 / 190.5, rel=0.02)
    assert lean["flange diameter"] < 1e-4 * sum(lean.values())


def test_the_derivatives_of_the_edge_are_those_of_its_residuals() -> None:
    normal = np.array([0.3, 0.1, -1.0]) / np.linalg.norm([0.3, 0.1, -1.0])
    guess = CirclePose(np.array([20.0, -30.0, 900.0]), normal, 95.0)
    camera = Camera(3000.0, 2000.0, 1500.0, 0.02)
    rng = np.random.default_rng(3)
    px = camera.project(guess.points(np.linspace(0, 6, 50))) + rng.normal(size=(50, 2)) * 2
    across = rng.normal(size=(50, 2))
    across /= np.linalg.norm(across, axis=1, keepdims=True)
    edge = EdgePoints(px, across, np.full(50, 0.1), 1.0, 1.0)
    theta = np.array([0.5, -0.3, 2.0, 0.01, 0.02, 0.01, 0.03, 95.4, 0.7])
    _, by_theta = off_circle(camera, guess, edge, theta)
    for i, size in enumerate(STEPS):
        step = np.eye(len(STEPS))[i] * size
        ahead, behind = (off_circle(camera, guess, edge, theta + sign * step)[0] for sign in (1, -1))
        numeric = (ahead - behind) / (2 * size)
        np.testing.assert_allclose(by_theta[:, i], numeric, rtol=0, atol=1e-5 * np.abs(numeric).max())
