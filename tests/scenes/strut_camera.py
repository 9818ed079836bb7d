"""Where things of the fast tier stand, and on which pixel they fall."""

import numpy as np

from tests.scenes.strut_scene import StrutScene
from vision.card import Card

Array = np.ndarray


def camera_pose(scene: StrutScene) -> tuple[Array, Array]:
    """Return rotation (3, 3) strut frame → camera frame, and the camera's place (3,) mm."""
    e, psi = np.radians([scene.elevation_deg, scene.azimuth_deg])
    centre = scene.distance_mm * np.array([np.cos(e) * np.sin(psi), -np.cos(e) * np.cos(psi), np.sin(e)])
    z = np.asarray(scene.aim_mm) - centre
    z /= np.linalg.norm(z)
    right = np.cross(z, [0.0, 0.0, 1.0])
    right /= np.linalg.norm(right)
    down = np.cross(z, right)
    c, s = np.cos(np.radians(scene.roll_deg)), np.sin(np.radians(scene.roll_deg))
    return np.array([c * right + s * down, -s * right + c * down, z]), centre


def project(scene: StrutScene, points: Array) -> Array:
    """Project points (N, 3) of the strut frame to pixels (N, 2), distortion included."""
    rotation, centre = camera_pose(scene)
    p = (np.asarray(points, float) - centre) @ rotation.T
    u = p[:, :2] / p[:, 2:]
    u = rolled(u * (1 + scene.k1 * np.sum(u**2, axis=1, keepdims=True)), scene.shutter)
    return scene.focal_px * u + [(scene.width_px - 1) / 2, (scene.height_px - 1) / 2]


def rolled(xy: Array, shutter: tuple[float, float]) -> Array:
    """Return where image coordinates (N, 2) fall when the rows are read one after another by a turning camera."""
    y = xy[:, 1:] / (1 - shutter[1])
    return np.hstack([xy[:, :1] + shutter[0] * y, y])


def unrolled(xy: Array, shutter: tuple[float, float]) -> Array:
    """Return the image coordinates (N, 2) that a camera at rest would have seen: `rolled` undone."""
    return xy - xy[:, 1:] * np.array(shutter)


def card_frame(scene: StrutScene, card: Card) -> tuple[Array, Array]:
    """Return the card's origin (3,) and its axes as rows (x, y, into the card) in the strut frame."""
    side = 1 if scene.card_side > 0 else -1
    b, yaw, roll = np.radians([scene.card_pitch_deg, scene.card_yaw_deg, scene.card_roll_deg])
    rx = np.array([[1, 0, 0], [0, np.cos(b), -np.sin(b)], [0, np.sin(b), np.cos(b)]])
    rz = np.array([[np.cos(yaw), -np.sin(yaw), 0], [np.sin(yaw), np.cos(yaw), 0], [0, 0, 1]])
    ry = np.array([[np.cos(roll), 0, np.sin(roll)], [0, 1, 0], [-np.sin(roll), 0, np.cos(roll)]])
    axes = np.array([[1.0, 0, 0], [0, 0, -1.0], [0, 1.0, 0]]) @ (rz @ rx @ ry).T
    size = np.array([card.width_mm, card.height_mm]) * scene.card_scale
    near = scene.piston_diameter_mm / 2 + scene.card_gap_mm + size[0] / 2
    middle = np.array(
        [
            side * near,
            scene.stand_off_mm - scene.piston_diameter_mm / 2,
            -scene.extension_mm - scene.card_low_mm + size[1] / 2,
        ]
    )
    # The stand-off is what a straight edge laid on the card would show: along the card's normal,
    # from the card's plane to the piston's front line at mid-span.
    span_middle = np.array([0, 0, -scene.extension_mm / 2])
    behind = axes[2] @ (middle - span_middle) + scene.piston_diameter_mm / 2
    middle = middle + (scene.stand_off_mm - behind) * axes[2]
    return middle - axes[0] * size[0] / 2 - axes[1] * size[1] / 2, axes


def undistort(xy: Array, k1: float) -> Array:
    """Return ideal image coordinates (N, 2) of those that the lens bent: x_d = x_u (1 + k1 r_u²)."""
    if k1 == 0:
        return xy
    rd = np.linalg.norm(xy, axis=1, keepdims=True)
    r = rd.copy()
    for _ in range(4):
        r -= (r * (1 + k1 * r * r) - rd) / (1 + 3 * k1 * r * r)
    return xy * (r / np.maximum(rd, 1e-12))
