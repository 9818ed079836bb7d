"""Rings found without a tap: the flange is among them from any side, and a wall with boxes has none."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel import render
from tests.scenes.wheel_scene import WheelScene, project
from vision.photo import FocalPrior, Photo, PhotoFacts
from vision.scale.model import CameraKnowledge
from vision.wheel.beyond import MOST_BEYOND, step_beyond
from vision.wheel.find import Ring, find_rings
from vision.wheel.flange import fit_flange

SMALL = WheelScene(width_px=700, height_px=650, focal_px=1100.0, clutter=4, rib=0.7, cap_depth_mm=12.0)


def photo_of(scene: WheelScene) -> Photo:
    facts = PhotoFacts("JPEG", scene.width_px, scene.height_px, FocalPrior(scene.focal_px, 10.0, "scene"))
    return Photo(np.ascontiguousarray(render(scene)[0]), facts)


def circle(scene: WheelScene, share: float = 1.0) -> np.ndarray:
    a = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    r = share * scene.flange_radius
    return project(scene, np.column_stack([r * np.cos(a), r * np.sin(a), 0 * a]))


def off(ring: Ring, px: np.ndarray) -> float:
    """Largest distance of points from a ring's course, as a share of its radius."""
    r = np.linalg.norm((px - ring.centre) @ ring.shape.T, axis=1)
    return float(np.abs(r / ring.radius - 1).max())


@pytest.mark.parametrize("tilt", [-25.0, 0.0, 14.0])
def test_the_flange_is_among_the_rings(tilt: float) -> None:
    scene = replace(SMALL, tilt_deg=tilt, pitch_deg=6.0, roll_deg=-7.0)
    rings = [ring for several in find_rings(photo_of(scene)) for ring in several]
    assert min(off(ring, circle(scene)) for ring in rings) < 0.015


def test_rings_are_given_by_how_much_of_them_is_seen() -> None:
    first = next(iter(find_rings(photo_of(SMALL))))
    assert [ring.share for ring in first] == sorted((ring.share for ring in first), reverse=True)


def test_a_plain_picture_has_no_ring() -> None:
    facts = PhotoFacts("PNG", 700, 650, FocalPrior(900.0, 10.0, "none"))
    grey = Photo(np.full((650, 700, 3), 120, np.uint8), facts)
    assert list(find_rings(grey)) == []


def test_a_ring_gives_points_on_its_own_course() -> None:
    ring = Ring(np.array([50.0, 60.0]), np.array([[1.1, 0.05], [0.05, 1.0]]), 30.0, 1.0)
    assert off(ring, ring.points(32)) < 1e-12


def test_only_the_flange_has_no_stronger_ring_outside_it() -> None:
    scene = replace(SMALL, cap_depth_mm=0.0)
    photo, known = photo_of(scene), CameraKnowledge(1100.0, 5.0, 349.5, 324.5, 0.0, 0.005)
    steps = []
    for share in (1.0, scene.second_circle):
        fits = fit_flange(photo, known, 190.5, 0.5, circle(scene, share)[::6])
        assert isinstance(fits, tuple)
        steps.append(step_beyond(photo, fits[0].camera, fits[0].pose))
    assert steps[0] < 0.5 * MOST_BEYOND
    assert steps[1] > 2 * MOST_BEYOND
