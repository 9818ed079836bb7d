"""Both poses of a circle from its conic, held against truth and against a planar pose of OpenCV."""

import cv2
import numpy as np
import pytest

from vision.wheel import CirclePose, circle_poses, conic_of_points, conic_through_camera


def some_pose(seed: int) -> CirclePose:
    rng = np.random.default_rng(seed)
    centre = np.array([*rng.uniform(-200, 200, 2), rng.uniform(600, 1500)])
    normal = np.array([*rng.uniform(-0.5, 0.5, 2), -1.0])
    normal /= np.linalg.norm(normal)
    return CirclePose(centre, normal, float(rng.uniform(80, 300)))


def nearest(pose: CirclePose, found: tuple[CirclePose, CirclePose]) -> CirclePose:
    return min(found, key=lambda other: float(np.linalg.norm(other.normal - pose.normal)))


def rays_to(pose: CirclePose, share: float = 1.0) -> np.ndarray:
    p = pose.points(np.linspace(0, 2 * np.pi * share, 60, endpoint=False))
    return p / p[:, 2:]


@pytest.mark.parametrize("seed", range(20))
def test_one_of_the_two_poses_is_the_true_one(seed: int) -> None:
    pose = some_pose(seed)
    found = nearest(pose, circle_poses(conic_through_camera(pose), pose.radius_mm))
    np.testing.assert_allclose(found.centre, pose.centre, rtol=0, atol=1e-6 * pose.centre[2])
    np.testing.assert_allclose(found.normal, pose.normal, rtol=0, atol=1e-6)


@pytest.mark.parametrize("seed", range(20))
def test_both_poses_explain_the_same_conic(seed: int) -> None:
    pose = some_pose(seed)
    conic = conic_through_camera(pose)
    for found in circle_poses(conic, pose.radius_mm):
        other = conic_through_camera(found)
        np.testing.assert_allclose(other * np.sign(np.sum(other * conic)), conic, rtol=0, atol=1e-9)
        assert found.centre[2] > 0
        assert found.normal @ found.centre < 0


def test_square_on_the_two_poses_are_one() -> None:
    pose = CirclePose(np.array([0, 0, 1000.0]), np.array([0, 0, -1.0]), 95.0)
    one, other = circle_poses(conic_through_camera(pose), 95.0)
    np.testing.assert_allclose(one.normal, other.normal, rtol=0, atol=1e-6)
    np.testing.assert_allclose(one.centre, [0, 0, 1000], rtol=0, atol=1e-6)


@pytest.mark.parametrize("share", [1.0, 0.5, 1 / 3])
def test_a_conic_through_exact_points_is_the_circle_seen(share: float) -> None:
    pose = some_pose(3)
    conic = conic_of_points(rays_to(pose, share))
    found = nearest(pose, circle_poses(conic, pose.radius_mm))
    np.testing.assert_allclose(found.centre, pose.centre, rtol=0, atol=1e-3)


@pytest.mark.parametrize("seed", range(5))
def test_the_pose_agrees_with_a_planar_pose_of_opencv_from_named_points(seed: int) -> None:
    # SOLVEPNP_IPPE (Collins and Bartoli, IJCV 2014) knows which point is which; the conic does not.
    pose = some_pose(seed)
    azimuth = np.linspace(0, 2 * np.pi, 12, endpoint=False)
    flat = pose.radius_mm * np.column_stack([np.cos(azimuth), np.sin(azimuth), 0 * azimuth])
    p = pose.points(azimuth)
    _, turn, shift = cv2.solvePnP(flat, p[:, :2] / p[:, 2:], np.eye(3), None, flags=cv2.SOLVEPNP_IPPE)
    normal = cv2.Rodrigues(turn)[0][:, 2]
    found = nearest(pose, circle_poses(conic_of_points(p / p[:, 2:]), pose.radius_mm))
    np.testing.assert_allclose(found.centre, shift[:, 0], rtol=0, atol=1e-2)
    assert abs(float(found.normal @ normal)) > 1 - 1e-8


def test_rays_to_the_circle_meet_its_plane_at_the_radius() -> None:
    pose = some_pose(7)
    np.testing.assert_allclose(np.hypot(*pose.meet(rays_to(pose)).T), pose.radius_mm, rtol=1e-9)


def test_points_on_a_line_are_refused_with_what_to_do() -> None:
    x = np.linspace(0, 0.1, 9)
    with pytest.raises(ValueError, match="give points around the circle"):
        conic_of_points(np.column_stack([x, 2 * x, np.ones(9)]))


def test_too_few_points_are_refused() -> None:
    with pytest.raises(ValueError, match="needs five points, got 4"):
        conic_of_points(np.ones((4, 3)))


def test_a_conic_that_is_no_ellipse_is_refused() -> None:
    with pytest.raises(ValueError, match="no ellipse"):
        circle_poses(np.eye(3), 100.0)
