"""What a traced photo of hoses shows: plain values in mm, degrees and radians, and the courses they mean.

*Picture's frame*: origin where the camera aims, x to the right, y away from the camera, z up in the picture.
A hose is swept along a curve in it; the angle round it is 0 where it faces the camera, positive to the side
that lies to the right of its heading as seen in the photo.
"""

import dataclasses
import json
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

import numpy as np

from tests.scenes.physical.geometry import Array, Camera, camera
from tests.scenes.physical.scene import CameraPose, Light, Post, StrutScene

STEP_MM = 0.5


@dataclass(frozen=True)
class HoseBody:
    """A hose: course, size and cover; `start_mm` to `end_mm` of its arc is covered, the rest is pipe."""

    diameter_mm: float
    cover: str
    turn_deg: float  # heading in the picture, counter-clockwise off the right
    offset_mm: float  # beside the picture's middle, to the left of the heading
    bow_mm: float
    wave_mm: float
    phase: float
    depth_mm: float  # behind the aimed point
    depth_bow_mm: float
    reach_mm: float  # half the straight length of the course
    seed: int
    start_mm: float = 0.0
    end_mm: float = 1e9
    dust: float = 0.2
    line_rad: float = 0.6  # where a moulded or printed line runs
    print_rgb: tuple[float, float, float] | None = None  # printed line along, None without


@dataclass(frozen=True)
class Worn:
    """A worn place: arc (mm) and angle (rad) of its middle, length and width (mm), grade 1 to 3."""

    hose: int
    at_mm: float
    angle_rad: float
    size_mm: float
    around_mm: float
    grade: int
    seed: int


@dataclass(frozen=True)
class Thing:
    """What is no wear: "clamp", "p_clamp", "tape", "label", "drop", "fluid", "tie" or "fitting", and where."""

    kind: str
    hose: int
    first_mm: float
    last_mm: float
    angle_rad: float
    seed: int


@dataclass(frozen=True)
class HoseScene:
    """One picture; everything in it follows from these values."""

    name: str
    seed: int
    hoses: tuple[HoseBody, ...]
    worn: tuple[Worn, ...] = ()
    things: tuple[Thing, ...] = ()
    camera: CameraPose = field(default_factory=CameraPose)
    light: Light = field(default_factory=Light)
    post: Post = field(default_factory=Post)
    exposure: float = 1.0  # 1: as a phone meters
    bars: int = 0  # things beside the camera that throw shadows over the hoses
    taken: str = "2026:03:14 10:20:00"
    leg_file: str = ""
    expected: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, eq=False)
class Curve:
    """A course with a frame: arc (N,) mm, points (N, 3), unit vectors towards the camera and to the right."""

    arc: Array
    points: Array
    front: Array
    right: Array

    def at(self, arc: Array) -> tuple[Array, Array, Array]:
        """Point, front and right (…, 3) at places along."""
        where = np.asarray(arc, float)
        parts = [
            np.stack([np.interp(where, self.arc, column) for column in part.T], -1)
            for part in (self.points, self.front, self.right)
        ]
        return parts[0], _unit(parts[1]), _unit(parts[2])

    def on(self, arc: Array, angle: Array, radius: float | Array) -> Array:
        """Points (…, 3) round the course."""
        place, front, right = self.at(arc)
        away = np.cos(angle)[..., None] * front + np.sin(angle)[..., None] * right
        return np.asarray(place + np.asarray(radius)[..., None] * away)


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))


def carrier(scene: HoseScene) -> StrutScene:
    """Camera, light and electronics in the form that the strut's tier takes them."""
    return StrutScene(
        scene.name, scene.seed, camera=scene.camera, light=scene.light, post=scene.post, taken=scene.taken
    )


def frame(scene: HoseScene) -> Array:
    """Rotation (3, 3) of the picture's frame into the world."""
    right, down, forward = camera(carrier(scene)).R
    return np.column_stack([right, forward, -down])


def eye(scene: HoseScene) -> Array:
    """The camera's centre (3,) in the picture's frame."""
    return np.asarray(frame(scene).T @ camera(carrier(scene)).centre)


def curve(scene: HoseScene, hose: HoseBody) -> Curve:
    """The hose's course, in steps of half a millimetre."""
    x = np.arange(-hose.reach_mm, hose.reach_mm, 0.25)
    left = hose.offset_mm + hose.bow_mm * np.sin(x / hose.wave_mm + hose.phase)
    deep = hose.depth_mm + hose.depth_bow_mm * np.sin(0.7 * x / hose.wave_mm + 2.1 * hose.phase)
    c, s = np.cos(np.radians(hose.turn_deg)), np.sin(np.radians(hose.turn_deg))
    line = np.stack([c * x - s * left, deep, s * x + c * left], -1)
    way = np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])
    arc = np.arange(0.0, way[-1], STEP_MM)
    points = np.stack([np.interp(arc, way, column) for column in line.T], -1)
    along = _unit(np.gradient(points, axis=0))
    sight = eye(scene) - points
    front = _unit(sight - (sight * along).sum(axis=1, keepdims=True) * along)
    return Curve(arc, points, front, np.cross(along, front))


class Seen:
    """The scene's camera at one size of the picture, for points of the picture's frame."""

    def __init__(self, scene: HoseScene, scale: float = 1.0) -> None:
        self.scene, self.turn = scene, frame(scene)
        self.view: Camera = camera(carrier(scene), scale)

    @cached_property
    def curves(self) -> tuple[Curve, ...]:
        """Every hose's course."""
        return tuple(curve(self.scene, hose) for hose in self.scene.hoses)

    def px(self, points: Array) -> Array:
        """Pixels (N, 2) of the upright photo, the lens's distortion included."""
        return self.view.project(np.asarray(points).reshape(-1, 3) @ self.turn.T)

    def px_per_mm(self, points: Array) -> Array:
        """Scale (N,) at points, square to the sight."""
        away = (np.atleast_2d(points) @ self.turn.T - self.view.centre) @ self.view.R[2]
        return np.asarray(self.view.f_px / away)

    def inside(self, pixels: Array, margin: float) -> Array:
        """Which pixels (N, 2) lie within the photo by a margin, px."""
        x, y = pixels.T
        return np.asarray(
            (x > margin) & (x < self.view.width - margin) & (y > margin) & (y < self.view.height - margin)
        )


def to_dict(scene: HoseScene) -> dict[str, Any]:
    """The scene as plain JSON values."""
    plain: dict[str, Any] = json.loads(json.dumps(dataclasses.asdict(scene)))
    return plain
