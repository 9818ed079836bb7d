"""A wheel to be drawn: everything that decides the picture, its geometry and its truth.

Wheel frame, mm: origin at the centre of the flange's outer circle, x to the right
as seen, y down, z into the wheel (away from the viewer); the flange edge lies in
z = 0.  The tire's section is a superellipse through the flange edge, so the sidewall
bulges towards the viewer; near the ground it bulges more.  The ground is a plane
under the tire.  Angles are positive counter-clockwise as seen; clock angles are
clockwise as seen, 0 up, 180 over the ground contact.

Squashed: where the ground cuts off the round tire its section is lowered by a share of
what is cut off, and widened, so that it stands on the ground with the contact's width.
"""

from dataclasses import asdict, dataclass
from functools import lru_cache
from typing import Any

import numpy as np

Array = np.ndarray


@dataclass(frozen=True)
class WheelScene:
    """Everything that decides the picture.  Lengths mm, angles degrees."""

    seed: int = 1
    # camera: turned about the wheel's centre by tilt (sideways) and pitch (positive from above)
    width_px: int = 1500
    height_px: int = 1400
    focal_px: float = 2000.0
    k1: float = 0.0
    distance_mm: float = 1000.0
    tilt_deg: float = 8.0
    pitch_deg: float = 3.0
    roll_deg: float = 0.0
    aim_mm: tuple[float, float] = (0.0, 0.0)
    # wheel
    flange_diameter_mm: float = 190.5
    second_circle: float = 0.84  # of the flange's diameter: a step in the rim's face, in the same plane
    hub_circle: float = 0.4
    cap_depth_mm: float = 0.0  # how far a cap inside the second circle stands out towards the viewer
    lip: float = 0.0  # inner edge of the lip's lighter face, of the flange's radius; 0 for none
    lip_round_mm: float = 2.2  # rounding of the flange's edge, before which the rim's face stands by as much
    lip_dark_deg: float = 45.0  # how far round it, from its widest circle, half of the light is lost
    rib: float = 0.0  # a moulded ring on the sidewall, between flange and outside radius; 0 for none
    outside_diameter_mm: float = 445.0
    section_width_mm: float = 160.0
    bead: float = 0.86  # where the section begins, of the flange's radius
    exponent: float = 2.2
    contact_bulge: float = 0.15
    contact_width: float = 0.82  # of the section's width, under the axle
    loaded_radius_mm: float = 182.0
    camber_deg: float = 0.0  # ground's normal out of the wheel plane
    ground_slope_deg: float = 0.0  # ground against gravity, in the wheel plane
    # what is on it
    line_angle_deg: float | None = 0.0
    line_clock_deg: float = 180.0
    line_radius: float = 0.5  # between flange and outside radius
    line_length_mm: float = 90.0
    line_width_mm: float = 4.0
    line_level: float = 0.5
    second_line_radius: float | None = None  # a second line at the same clock
    mark_clock_deg: float | None = 60.0
    creep_deg: float = 0.0
    mark_width_mm: float = 25.0
    mark_length_mm: float = 25.0  # on either part
    mark_parts: str = "both"  # both | rim | tire
    mark_rgb: tuple[float, float, float] = (0.5, 0.04, 0.03)
    mark_skew_deg: float = 0.0  # the whole stripe off radial
    second_mark_clock_deg: float | None = None
    remnant: tuple[float, str, float, float] | None = None  # clock, part, strength 0 to 1, width mm
    hidden_clock_deg: tuple[float, float] | None = None  # a brake hose or hand over this part of the wheel
    card_at_mm: tuple[float, float, float] | None = None  # centre of the plate card in the wheel's frame
    card_turn_deg: float = 0.0
    card_lean_deg: tuple[float, float] = (0.0, 0.0)  # about the wheel's x and y, out of its plane
    card_print: tuple[float, float] = (1.0, 1.0)  # how large this copy came out of the printer, along x and y
    plumb_at_mm: tuple[float, float] | None = None  # x and depth z of a plumb line in the wheel's frame
    # light and electronics
    rim_level: float = 0.5
    rubber_level: float = 0.045
    ground_level: float = 0.3
    wall_level: float = 0.45
    clutter: int = 6
    crevice_mm: float = 12.0  # how far before the contact the ground is dark under the tire's overhang
    hard_shadow_mm: float | None = None  # a cast shadow's edge on the ground, in front of the contact
    rim_shade: float = 0.1  # light over the rim's face
    exposure: float = 0.9
    blur_px: float = 0.9
    noise: float = 0.006
    gamma: float = 1.0
    jpeg_quality: int | None = 90

    @property
    def flange_radius(self) -> float:
        return self.flange_diameter_mm / 2

    @property
    def section(self) -> tuple[float, float, float, float]:
        """Middle radius, half height, half width and depth of the middle plane of the section, mm."""
        low, high = self.bead * self.flange_radius, self.outside_diameter_mm / 2
        middle, half = (low + high) / 2, (high - low) / 2
        share = abs(middle - self.flange_radius) / half
        depth = self.section_width_mm / 2 * (1 - share**self.exponent) ** (1 / self.exponent)
        return middle, half, self.section_width_mm / 2, depth


@dataclass(frozen=True)
class WheelTruth:
    """What the picture was made from; angles of line and creep as the command's JSON gives them."""

    line_angle_deg: float | None  # line minus ground
    line_to_gravity_deg: float | None
    creep_deg: float
    creep_arc_mm: float
    outside_diameter_mm: float
    loaded_radius_mm: float
    deflection: float
    px_per_mm: float
    rotation: Array  # wheel frame → camera frame
    centre: Array  # of the flange, camera frame, mm
    gravity: tuple[float, float, float]  # in the camera's frame
    scene: dict[str, Any]


def pose(scene: WheelScene) -> tuple[Array, Array]:
    """Return rotation (3, 3) wheel frame → camera frame, and the camera's place (3,) in the wheel's."""
    t, p, r = np.radians([scene.tilt_deg, scene.pitch_deg, scene.roll_deg])
    place = scene.distance_mm * np.array([np.sin(t) * np.cos(p), -np.sin(p), -np.cos(t) * np.cos(p)])
    z = np.array([*scene.aim_mm, 0.0]) - place
    z /= np.linalg.norm(z)
    right = np.cross([0.0, 1.0, 0.0], z)
    right /= np.linalg.norm(right)
    down = np.cross(z, right)
    c, s = np.cos(r), np.sin(r)
    return np.array([c * right + s * down, -s * right + c * down, z]), place


def project(scene: WheelScene, points: Array) -> Array:
    """Project points (N, 3) of the wheel's frame to pixels (N, 2), distortion included."""
    rotation, place = pose(scene)
    p = (np.asarray(points, float) - place) @ rotation.T
    u = p[:, :2] / p[:, 2:]
    u = u * (1 + scene.k1 * np.sum(u**2, axis=1, keepdims=True))
    return scene.focal_px * u + [(scene.width_px - 1) / 2, (scene.height_px - 1) / 2]


def clock_direction(clock_deg: float) -> Array:
    """Unit vector (2,) of a clock angle, x right and y down."""
    a = np.radians(clock_deg)
    return np.array([np.sin(a), -np.cos(a)])


def sidewall_depth(scene: WheelScene, x: Array, y: Array) -> Array:
    """Depth z (N,) of the outer sidewall over x, y; nan beyond the section."""
    depth = scene.section[3]
    r = np.hypot(x, y)
    middle, half, width = section_at(scene, x, y, r)
    inside = 1 - np.abs((r - middle) / half) ** scene.exponent
    with np.errstate(invalid="ignore"):
        return depth - width * inside ** (1 / scene.exponent) - at_bead(scene, middle, half, r)


def at_bead(scene: WheelScene, middle: Array, half: Array, r: Array) -> Array:
    """By how much (N,) mm the section alone lies behind the surface: the rim holds the bead at every clock.

    Squashed, the section (its `middle` and `half` from `section_at`) would leave the flange by several mm;
    that fades out towards the tread.
    """
    low, flange = scene.bead * scene.flange_radius, scene.flange_radius
    width = scene.section_width_mm / 2
    inside = 1 - (np.abs(flange - middle) / half) ** scene.exponent
    off = scene.section[3] - width * inside ** (1 / scene.exponent)
    share = np.clip((r - flange) / (low + 2 * half - flange), 0, 1)
    return np.asarray(off * (1 - share) ** 2)


def section_at(scene: WheelScene, x: Array, y: Array, r: Array) -> tuple[Array, Array, Array]:
    """Middle radius, half height and half width (N,) of the section at the clock of x, y."""
    low, top = scene.bead * scene.flange_radius, scene.outside_diameter_mm / 2
    cosine = y / np.maximum(r, 1e-9)
    cut = np.maximum(top - scene.loaded_radius_mm / np.maximum(cosine, 0.2), 0)
    high = top - squeeze(scene) * cut
    # The bulge goes with what is cut off, and is greatest half-way up the section.
    near = cut / max(top - scene.loaded_radius_mm, 1e-9)
    share = np.clip((r - scene.flange_radius) / (high - scene.flange_radius), 0, 1)
    wider = 1 + scene.contact_bulge * near * 4 * share * (1 - share)
    return (low + high) / 2, (high - low) / 2, scene.section_width_mm / 2 * wider


@lru_cache(maxsize=64)
def squeeze(scene: WheelScene) -> float:
    """Share of the cut-off part by which the section is lowered, for the contact's width; 0 to 1."""
    low, top, ground = (
        scene.bead * scene.flange_radius, scene.outside_diameter_mm / 2, scene.loaded_radius_mm
    )  # fmt: skip
    few, most = 0.0, 0.999
    for _ in range(40):
        s = (few + most) / 2
        high = top - s * (top - ground)
        a = abs(ground - (low + high) / 2) / ((high - low) / 2)
        share = (ground - scene.flange_radius) / (high - scene.flange_radius)
        width = max(1 - a**scene.exponent, 0) ** (1 / scene.exponent)
        width *= 1 + scene.contact_bulge * 4 * share * (1 - share)
        few, most = (s, most) if width > scene.contact_width else (few, s)
    return few


def truth_of(scene: WheelScene) -> WheelTruth:
    """Return the truth of a scene without drawing it."""
    rotation, place = pose(scene)
    centre = -rotation @ place
    slope, g = np.radians([scene.ground_slope_deg, scene.camber_deg])
    # The ground is level in the wheel's frame; gravity leans against it.
    gravity = rotation @ np.array([np.sin(slope) * np.cos(g), np.cos(slope) * np.cos(g), -np.sin(g)])
    line = scene.line_angle_deg
    outside, loaded = scene.outside_diameter_mm, scene.loaded_radius_mm
    return WheelTruth(
        line_angle_deg=line,
        line_to_gravity_deg=None if line is None else line - scene.ground_slope_deg,
        creep_deg=scene.creep_deg,
        creep_arc_mm=float(np.radians(scene.creep_deg) * scene.flange_radius),
        outside_diameter_mm=outside,
        loaded_radius_mm=loaded,
        deflection=(outside / 2 - loaded) / (outside / 2 - scene.flange_radius),
        px_per_mm=scene.focal_px / float(centre[2]),
        rotation=rotation,
        centre=centre,
        gravity=(float(gravity[0]), float(gravity[1]), float(gravity[2])),
        scene=asdict(scene),
    )
