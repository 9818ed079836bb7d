"""One witness of level: its angle in the wheel's plane and its standard uncertainty.

Angles are of the level direction in the wheel's own frame (`CirclePose.frame`), positive
counter-clockwise as seen, in degrees, so that they can be taken off an angle measured there.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.wheel import CirclePose, WheelFit

Array = NDArray[np.float64]
Angle = Callable[[CirclePose, Camera], float]
GRAVITY_U_DEG = 1.0  # of a phone without a stored offset, judged
GRAVITY_KNOWN_U_DEG = 0.4  # with one; 0.1 to 0.5° (from memory)
AXLE_LEAN_U_DEG = 1.0  # camber and landing gear's flex about level, judged
HORIZON_U_DEG = 0.5  # of the far ground's or water's edge: trees and hills raise one end of it; judged
TAP_U_PX = 1.5  # a finger on an enlarged photo, judged
STEEPEST_DEG = 60.0  # of gravity against the wheel's plane
_TINY_DEG = 0.01


@dataclass(frozen=True)
class Level:
    """A level direction.

    Attributes
    ----------
    angle_deg, u_deg : float
        Angle in the wheel's frame and its standard uncertainty.
    source : str
        Which witness spoke, for the result and its budget.
    reference : str
        ``"ground"`` or ``"gravity"``: which statement it makes.
    own_u_deg : float
        The part of `u_deg` that the wheel's pose has no share in.
    of : callable or None
        The same angle for another pose and camera, so that a doubt of the pose that moves an angle
        and its level alike is not counted.
    """

    angle_deg: float
    u_deg: float
    source: str
    reference: str
    own_u_deg: float = 0.0
    of: Angle | None = None


def from_gravity(
    fit: WheelFit, gravity: Array, u_deg: float | None = None, offset_deg: float | None = None
) -> Level | None:
    """Return level across gravity (3,) in the camera's frame, or None where it is too steep to the wheel.

    Parameters
    ----------
    gravity : (3,) array
        Pointing down, as `PhotoFacts.gravity`.
    u_deg : float, > 0, optional
        Standard uncertainty of its direction; else that of a phone with or without an offset.
    offset_deg : float, optional
        This phone's own, added to its roll, counter-clockwise (`CameraFile.gravity_offset_deg`).
    """
    if u_deg is None:
        u_deg = GRAVITY_U_DEG if offset_deg is None else GRAVITY_KNOWN_U_DEG
    c, s = np.cos(np.radians(offset_deg or 0.0)), np.sin(np.radians(offset_deg or 0.0))
    down = np.array([[c, s, 0.0], [-s, c, 0.0], [0.0, 0.0, 1.0]]) @ gravity / np.linalg.norm(gravity)
    if abs(float(down @ fit.pose.normal)) > np.sin(np.radians(STEEPEST_DEG)):
        return None

    def angle(pose: CirclePose, _: Camera) -> float:
        x, y, _z = pose.frame
        return float(np.degrees(np.arctan2(down @ x, down @ y)))

    return _level(fit, angle, [u_deg], "gravity in the file", "gravity")


def from_level_edge(fit: WheelFit, direction: Array, u_deg: float) -> Level:
    """Return level from an edge held level by a spirit level, such as a card's, (3,) in the camera's frame.

    Parameters
    ----------
    u_deg : float, > 0
        Of the edge's direction in the photo and of the hand that held it level, together.
    """
    along = direction * (1.0 if direction[0] > 0 else -1.0)

    def angle(pose: CirclePose, _: Camera) -> float:
        x, y, _z = pose.frame
        return float(np.degrees(np.arctan2(-along @ y, along @ x)))

    return _level(fit, angle, [u_deg], "card held level", "gravity")


def from_plumb_line(
    fit: WheelFit, px: Array, u_px: float = TAP_U_PX, lean_u_deg: float = AXLE_LEAN_U_DEG
) -> Level:
    """Return level across a plumb line seen through two points (2, 2) px, at any depth.

    The line lies in a plane through the camera, and upright: where the axle is level
    that plane's cut with the wheel's plane is upright.  The axle's lean is in the doubt.
    """

    def at(points: Array, lean_deg: float) -> Angle:
        def angle(pose: CirclePose, camera: Camera) -> float:
            rays = camera.rays(points)
            x, y, _z = pose.frame
            # An upright direction leaves the wheel's plane by the axle's lean.
            normal = pose.normal + np.radians(lean_deg) * y
            down = np.cross(np.cross(rays[0], rays[1]), normal)
            down = down * (1.0 if down @ y > 0 else -1.0)
            return float(np.degrees(np.arctan2(down @ x, down @ y)))

        return angle

    here = at(px, 0.0)
    parts = _taps(fit, lambda moved: at(moved, 0.0), px, u_px)
    parts.append(at(px, lean_u_deg)(fit.pose, fit.camera) - here(fit.pose, fit.camera))
    return _level(fit, here, parts, "plumb line", "gravity")


def from_horizon(fit: WheelFit, px: Array, u_px: float = TAP_U_PX) -> Level | None:
    """Return level from the horizon seen through two points (2, 2) px, or None as `from_gravity`.

    Every ray to the horizon is level, so two of them span the level plane (its dip of 0.04° at a person's
    height does not count), whichever way the wheel is turned.
    """

    def down_at(points: Array, camera: Camera) -> Array:
        a, b = camera.rays(points)
        down = np.cross(a, b)
        return np.asarray(down / np.linalg.norm(down) * (1.0 if down[1] > 0 else -1.0))

    if abs(float(down_at(px, fit.camera) @ fit.pose.normal)) > np.sin(np.radians(STEEPEST_DEG)):
        return None

    def at(points: Array) -> Angle:
        def angle(pose: CirclePose, camera: Camera) -> float:
            x, y, _z = pose.frame
            down = down_at(points, camera)
            return float(np.degrees(np.arctan2(down @ x, down @ y)))

        return angle

    return _level(fit, at(px), [*_taps(fit, at, px, u_px), HORIZON_U_DEG], "horizon", "gravity")


def from_ground_taps(
    fit: WheelFit, px: Array, depth_mm: float, depth_u_mm: float, u_px: float = TAP_U_PX
) -> Level:
    """Return the ground's line through two points (2, 2) px at its contact with the tire.

    Parameters
    ----------
    px : (2, 2) array
        In the contact's middle half, where its line is straight.
    depth_mm, depth_u_mm : float
        How far behind the flange's plane (negative in front) the sidewall meets the ground there.
    """

    def at(points: Array, depth: float) -> Angle:
        def angle(pose: CirclePose, camera: Camera) -> float:
            a, b = pose.meet(camera.rays(points), depth)
            run = b - a if b[0] > a[0] else a - b
            return float(np.degrees(np.arctan2(-run[1], run[0])))

        return angle

    here = at(px, depth_mm)
    parts = _taps(fit, lambda moved: at(moved, depth_mm), px, u_px)
    # One end may lie deeper than the other: the footprint need not be symmetric to the eye.
    for k in range(2):
        rays = fit.camera.rays(px)
        ends = fit.pose.meet(rays, depth_mm)
        ends[k] = fit.pose.meet(rays, depth_mm + depth_u_mm)[k]
        run = ends[1] - ends[0] if ends[1][0] > ends[0][0] else ends[0] - ends[1]
        parts.append(float(np.degrees(np.arctan2(-run[1], run[0]))) - here(fit.pose, fit.camera))
    return _level(fit, here, parts, "ground contact, two taps", "ground")


def _taps(fit: WheelFit, at: Callable[[Array], Angle], px: Array, u_px: float) -> list[float]:
    """Contribution of each coordinate of each tap, degrees."""
    here = at(px)(fit.pose, fit.camera)
    parts = []
    for k in np.ndindex(*px.shape):
        moved = px.astype(float).copy()
        moved[k] += u_px
        parts.append(at(moved)(fit.pose, fit.camera) - here)
    return parts


def from_ground_line(fit: WheelFit, angle: Angle, own_u_deg: float, source: str) -> Level:
    """Return the ground's line as it was read by somebody who knows the tire: its angle for any pose.

    Parameters
    ----------
    angle : callable
        Of pose and camera, degrees in the wheel's frame.
    own_u_deg : float, > 0
        Standard uncertainty that the pose has no share in.
    """
    return _level(fit, angle, [own_u_deg], source, "ground")


def _level(fit: WheelFit, angle: Angle, parts: list[float], source: str, reference: str) -> Level:
    own = float(np.sqrt(sum(part * part for part in parts)))
    u = float(np.hypot(np.sqrt(fit.variance(fit.gradient(angle))), own))
    return Level(
        angle(fit.pose, fit.camera), max(u, _TINY_DEG), source, reference, max(own, _TINY_DEG), angle
    )
