"""Where things are, and on which pixel they fall: the truth that the pictures are judged by.

Needs numpy only.  Pixels: x right, y down, centres at integers, upright photo.
Camera frame as in OpenCV: x right, y down, z forward.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.scenes.physical.scene import StrutScene

Array = NDArray[np.float64]
DIAGONAL_35_MM = float(np.hypot(36.0, 24.0))
Z = np.array([0.0, 0.0, 1.0])


def rotation(axis: Array, angle_deg: float) -> Array:
    """Rodrigues' rotation about a unit axis, right-handed."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]], dtype=float)
    angle = np.radians(angle_deg)
    return np.asarray(np.eye(3) + np.sin(angle) * cross + (1 - np.cos(angle)) * cross @ cross)


def direction(azimuth_deg: float, elevation_deg: float = 0.0) -> Array:
    """Unit vector from the axis toward azimuth (0 is -y) and elevation, strut frame."""
    a, e = np.radians([azimuth_deg, elevation_deg])
    return np.array([np.sin(a) * np.cos(e), -np.cos(a) * np.cos(e), np.sin(e)])


def strut_to_world(scene: StrutScene) -> Array:
    """Rotation that leans the strut: first fore-and-aft (about x), then sideways (about y)."""
    x, y = np.eye(3)[:2]
    return rotation(y, scene.leg.rake_side_deg) @ rotation(x, scene.leg.rake_fore_deg)


@dataclass(frozen=True)
class Camera:
    """World to pixels: x_cam = R (X - centre), then K with radial k1."""

    R: Array
    centre: Array
    f_px: float
    cx: float
    cy: float
    width: int
    height: int
    k1: float

    def project(self, points: Array, distorted: bool = True) -> Array:
        """Pixels (N, 2) of world points (N, 3)."""
        rays = (np.atleast_2d(points) - self.centre) @ self.R.T
        flat = rays[:, :2] / rays[:, 2:]
        if distorted:
            flat = flat * (1 + self.k1 * np.sum(flat**2, axis=1, keepdims=True))
        return np.asarray(flat * self.f_px + [self.cx, self.cy])


def camera(scene: StrutScene, scale: float = 1.0) -> Camera:
    """The scene's camera; `scale` shrinks the picture, not the field of view."""
    pose = scene.camera
    width, height = round(pose.width_px * scale), round(pose.height_px * scale)
    lean = strut_to_world(scene)
    centre = lean @ (pose.distance_mm * direction(pose.azimuth_deg, pose.elevation_deg))
    aim = lean @ (pose.aim_x_mm * across(pose.azimuth_deg) + pose.aim_s_mm * Z)
    forward = (aim - centre) / np.linalg.norm(aim - centre)
    right = np.cross(forward, Z)
    right = rotation(forward, pose.roll_deg) @ (right / np.linalg.norm(right))
    f_px = pose.f35_mm * float(np.hypot(width, height)) / DIAGONAL_35_MM
    return Camera(
        R=np.array([right, np.cross(forward, right), forward]),
        centre=centre,
        f_px=f_px,
        cx=(width - 1) / 2,
        cy=(height - 1) / 2,
        width=width,
        height=height,
        k1=pose.k1,
    )


def across(azimuth_deg: float) -> Array:
    """Unit vector to the right as seen from `azimuth_deg`, square to the axis."""
    a = np.radians(azimuth_deg)
    return np.array([np.cos(a), np.sin(a), 0.0])


def toward_camera(scene: StrutScene) -> Array:
    """Unit vector square to the axis toward the camera, strut frame."""
    flat = strut_to_world(scene).T @ camera(scene).centre * [1, 1, 0]
    return np.asarray(flat / np.linalg.norm(flat))


def front_point(scene: StrutScene, radius_mm: float, s_mm: float) -> Array:
    """World point of a ring that lies nearest the camera: on the front line."""
    return strut_to_world(scene) @ (radius_mm * toward_camera(scene) + s_mm * Z)


def elevation_at(scene: StrutScene, point: Array) -> float:
    """Angle in degrees of the ray at `point` above the plane square to the axis."""
    ray = camera(scene).centre - point
    axis = strut_to_world(scene) @ Z
    return float(np.degrees(np.arcsin(ray @ axis / np.linalg.norm(ray))))


@dataclass(frozen=True)
class CardFrame:
    """Maps card millimetres (x right, y down from the top left) to the world.

    A bent card keeps its arc length; `bend` is the signed radius, 0 for flat.
    """

    pivot: Array
    right: Array
    down: Array
    normal: Array
    pivot_xy: Array
    middle_y: float
    bend: float

    def points(self, xy: Array, behind_mm: float = 0.0) -> Array:
        """World points (N, 3) of card points (N, 2), `behind_mm` behind the printed face."""
        xy = np.atleast_2d(xy)
        along, depth, slope = self._arc(xy[:, 1])
        along_pivot, depth_pivot, _ = self._arc(self.pivot_xy[1:])
        out = depth - depth_pivot - behind_mm * np.cos(slope)
        down = along - along_pivot - behind_mm * np.sin(slope)
        return np.asarray(
            self.pivot
            + (xy[:, :1] - self.pivot_xy[0]) * self.right
            + down[:, None] * self.down
            + out[:, None] * self.normal
        )

    def _arc(self, y: Array) -> tuple[Array, Array, Array]:
        local = y - self.middle_y
        if self.bend == 0:
            return local, np.zeros_like(local), np.zeros_like(local)
        slope = local / self.bend
        return self.bend * np.sin(slope), -self.bend * (1 - np.cos(slope)), slope


def card_frame(scene: StrutScene, width_mm: float, height_mm: float) -> CardFrame:
    """How the card hangs.

    It turns (pitch, roll) about the point of its own middle line that stands
    beside the middle of the measured span, where the stand-off is meant.
    """
    hang, radius = scene.card, scene.leg.piston_mm / 2
    lean = strut_to_world(scene)
    normal, right = direction(hang.azimuth_deg), across(hang.azimuth_deg)
    middle_s = -scene.leg.extension_mm / 2
    lateral = hang.side * (radius + hang.gap_mm + width_mm / 2)
    pivot = lateral * right + (radius - hang.stand_off_mm) * normal + middle_s * Z
    turn = rotation(normal, hang.roll_deg) @ rotation(right, hang.pitch_deg)
    return CardFrame(
        pivot=lean @ pivot,
        right=lean @ turn @ right,
        down=lean @ turn @ -Z,
        normal=lean @ turn @ normal,
        pivot_xy=np.array([width_mm / 2, hang.top_mm - middle_s]),
        middle_y=height_mm / 2,
        bend=hang.bend_radius_mm,
    )


def tag_frame(scene: StrutScene, size_mm: float) -> CardFrame:
    """The leg tag: a flat square against the painted cylinder, 2 mm of backing under it."""
    lean, hang = strut_to_world(scene), scene.tag
    normal = direction(hang.azimuth_deg)
    middle = (scene.leg.cylinder_mm / 2 + 2.5) * normal + hang.height_mm * Z
    half = size_mm / 2
    return CardFrame(
        pivot=lean @ middle,
        right=lean @ across(hang.azimuth_deg),
        down=lean @ -Z,
        normal=lean @ normal,
        pivot_xy=np.array([half, half]),
        middle_y=half,
        bend=0.0,
    )


def without_distortion(cam: Camera) -> Camera:
    """The pinhole that the renderer itself uses."""
    return replace(cam, k1=0.0)
