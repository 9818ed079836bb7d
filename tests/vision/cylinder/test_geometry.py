"""Rays, rings and outlines of a cylinder held against each other and against closed forms."""

import numpy as np
import pytest
from numpy.typing import NDArray

from vision.camera import Camera
from vision.cylinder import Axis, axial_place, elevation_deg, ring, signed_offset
from vision.cylinder.length import first_axis

Array = NDArray[np.float64]


def axis_of(seed: int) -> Axis:
    """An axis 0.6 to 1.5 m away, within 20° of the picture's vertical, tilted up to 30°."""
    rng = np.random.default_rng(seed)
    direction = np.array([rng.uniform(-0.35, 0.35), -1.0, rng.uniform(-0.55, 0.55)])
    point = np.array([*rng.uniform(-200, 200, 2), rng.uniform(600, 1500)])
    return Axis(point, direction / np.linalg.norm(direction))


def limb_azimuth(axis: Axis, radius: float) -> float:
    """Azimuth at which a ring leaves the visible front: cos = radius over the axis's distance."""
    along = float(axis.point @ axis.direction)
    return float(np.arccos(radius / np.linalg.norm(axis.point - along * axis.direction)))


EVERY_AXIS = pytest.mark.parametrize("seed", range(6))


@EVERY_AXIS
def test_rays_to_a_rings_front_meet_the_cylinder_at_the_ring(seed: int) -> None:
    axis, radius = axis_of(seed), 31.75
    limb = limb_azimuth(axis, radius)
    front = ring(axis, 42.0, radius, np.linspace(-0.99, 0.99, 41) * limb)
    # Any length of ray serves.
    rays = front / np.linspace(100, 900, 41)[:, None]
    np.testing.assert_allclose(axial_place(rays, axis, radius), 42.0, rtol=0, atol=1e-8)


@EVERY_AXIS
def test_rays_to_a_rings_back_meet_the_far_side_at_the_ring(seed: int) -> None:
    axis, radius = axis_of(seed), 31.75
    limb = limb_azimuth(axis, radius)
    back = ring(axis, -17.0, radius, np.pi + np.linspace(-0.99, 0.99, 41) * (np.pi - limb))
    np.testing.assert_allclose(axial_place(back, axis, radius, far=True), -17.0, rtol=0, atol=1e-8)


@EVERY_AXIS
def test_the_outline_is_plus_and_minus_the_radius(seed: int) -> None:
    axis, radius = axis_of(seed), 31.75
    limb = limb_azimuth(axis, radius)
    for s in (-120.0, 0.0, 95.0):
        sides = ring(axis, s, radius, np.array([limb, -limb]))
        np.testing.assert_allclose(signed_offset(sides, axis), [radius, -radius], rtol=0, atol=1e-8)
        around = ring(axis, s, radius, np.linspace(-np.pi, np.pi, 720))
        assert np.abs(signed_offset(around, axis)).max() <= radius + 1e-9


@EVERY_AXIS
def test_the_offset_is_the_distance_of_two_lines(seed: int) -> None:
    # Distance of the lines o + t r and p + s a: |(r × a) · p| / |r × a|.
    axis, rng = axis_of(seed), np.random.default_rng(seed)
    rays = np.column_stack([rng.uniform(-0.4, 0.4, (20, 2)), np.ones(20)])
    normal = np.cross(rays, axis.direction)
    distance = np.abs(normal @ axis.point) / np.linalg.norm(normal, axis=1)
    np.testing.assert_allclose(np.abs(signed_offset(rays, axis)), distance, rtol=0, atol=1e-9)


def test_lateral_and_positive_offsets_are_to_the_right_when_the_axis_points_up() -> None:
    axis = Axis(np.array([0.0, 0.0, 1000.0]), np.array([0.0, -1.0, 0.0]))
    assert axis.lateral == pytest.approx([1.0, 0.0, 0.0])
    assert signed_offset(np.array([[0.05, 0.0, 1.0]]), axis)[0] > 0
    assert ring(axis, 0.0, 30.0, np.array([0.3]))[0, 0] > 0
    assert ring(axis, 0.0, 30.0, np.array([0.0]))[0] == pytest.approx([0.0, 0.0, 970.0])


@EVERY_AXIS
def test_frames_are_right_handed_and_square(seed: int) -> None:
    axis = axis_of(seed)
    frame = np.array([*axis.frame(), axis.direction])
    np.testing.assert_allclose(frame @ frame.T, np.eye(3), rtol=0, atol=1e-12)
    assert np.linalg.det(frame) == pytest.approx(1.0)


def test_a_ring_below_the_camera_has_a_positive_elevation() -> None:
    # The camera 200 mm above a ring 1 m away: arctan(0.2); its front bows down in the picture.
    axis = Axis(np.array([0.0, 200.0, 1000.0]), np.array([0.0, -1.0, 0.0]))
    assert elevation_deg(axis, 0.0) == pytest.approx(np.degrees(np.arctan(0.2)))
    assert elevation_deg(axis, 400.0) == pytest.approx(-np.degrees(np.arctan(0.2)))
    assert elevation_deg(Axis(axis.point, -axis.direction), 0.0) == pytest.approx(-np.degrees(np.arctan(0.2)))
    front, limb = ring(axis, 0.0, 30.0, np.array([0.0, 1.5]))
    assert front[1] / front[2] > limb[1] / limb[2]


@pytest.mark.parametrize(("radius", "distance"), [(40.0, 1000.0), (20.0, 700.0), (60.0, 1500.0)])
def test_the_apparent_width_gives_the_scale_by_the_half_angle_formula(radius: float, distance: float) -> None:
    # mm/px at the axis = (2R/w) tan(45° − a/2), tan a = w/2f, on the optical axis (methods, section Traps).
    f = 3000.0
    axis = Axis(np.array([0.0, 0.0, distance]), np.array([0.0, -1.0, 0.0]))
    limb = limb_azimuth(axis, radius)
    camera = Camera(f, 0.0, 0.0)
    width = float(np.ptp(camera.project(ring(axis, 0.0, radius, np.array([-limb, limb])))[:, 0]))
    a = np.arctan(width / (2 * f))
    # The formula's scale is that of the front line, a radius nearer than the axis.
    assert 2 * radius / width * np.tan(np.pi / 4 - a / 2) == pytest.approx((distance - radius) / f, rel=1e-9)


@EVERY_AXIS
def test_the_first_axis_of_exact_outlines_is_the_axis(seed: int) -> None:
    axis, radius, camera = axis_of(seed), 31.75, Camera(3000.0, 2000.0, 1500.0, 0.03)
    limb = limb_azimuth(axis, radius)
    sides = [
        camera.project(np.concatenate([ring(axis, s, radius, np.array([a])) for s in (-150.0, 0.0, 150.0)]))
        for a in (limb, -limb)
    ]
    found = first_axis(camera, sides[0], sides[1], radius)
    assert abs(found.direction @ axis.direction) == pytest.approx(1.0, abs=1e-9)
    off = found.point - axis.point
    assert np.linalg.norm(off - (off @ axis.direction) * axis.direction) < 1e-5


def test_one_outline_given_twice_is_refused() -> None:
    camera = Camera(3000.0, 2000.0, 1500.0)
    line = np.column_stack([np.full(5, 1900.0), np.linspace(1000, 2000, 5)])
    with pytest.raises(ValueError, match="two outlines of the cylinder coincide; give points"):
        first_axis(camera, line, line, 30.0)
