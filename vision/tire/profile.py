"""The sidewall as a surface: where rays meet it, and which outside diameter a grazing ray tells.

The section is a superellipse that begins under the flange edge and ends at the tread; where the
ground cuts the round tire off it bulges.  Frame: the wheel's (`CirclePose.frame`), origin at the
flange circle's centre, x right, y down, z into the wheel, mm; the flange edge lies in z = 0.

Nobody measures a tire's section before taking a photo, so its shape is known roughly only, and
every quantity that uses it carries the doubt of `Shape`'s numbers.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from vision.leg import TireData
from vision.wheel import CirclePose

Array = NDArray[np.float64]

# Section width over section height from the flange: 1.25 to 1.63 in four rows of the tire
# makers' data handbook, bias tires.
WIDTH_OF_HEIGHT, WIDTH_OF_HEIGHT_U = 1.42, 0.25 / np.sqrt(3)
USUAL_DEFLECTION = (0.2, 0.5)  # the same book, medians: 0.32 to 0.35 at rated load
MEDIAN_DEFLECTION = 0.34
NUMBERS = {
    "section width": "width", "bead seat": "bead", "sidewall shape": "exponent",
    "bulge over the contact": "bulge", "contact's width": "contact_off", "contact's length": "contact_length",
    "rim's lip": "lip",
}  # fmt: skip
_STEPS = 12
_MET = 1e-6  # mm along the ray: met
_GRAZING = np.linspace(-0.95, 0.95, 121)  # where along the section a ray may graze it, of its half width


@dataclass(frozen=True)
class Shape:
    """What is known of a section, with standard uncertainties; mm and shares."""

    flange_radius: float
    outside_diameter: float
    width: float
    width_u: float
    bead: float = 0.86  # where the section begins, of the flange's radius; judged
    bead_u: float = 0.03
    exponent: float = 2.25  # 2 is an ellipse; judged
    exponent_u: float = 0.15
    bulge: float = 0.125  # how much wider over the contact; judged
    bulge_u: float = 0.035
    contact_off: float = 0.0  # of the contact's width, off Smiley and Horne's, in section widths
    contact_off_u: float = 0.06  # judged
    contact_length: float = 0.93  # over the chord that the ground cuts off the round tire; judged
    contact_length_u: float = 0.07  # 0.85 in Smiley and Horne, 1 where nothing lifts
    lip: float = 2.2  # mm, how far the rim's face stands before the flange's widest circle; judged
    lip_u: float = 0.8
    width_assumed: bool = False

    @property
    def section(self) -> tuple[float, float, float, float]:
        """Lower and upper radius, half width, and depth of the middle plane, mm."""
        low, high = self.bead * self.flange_radius, self.outside_diameter / 2
        middle, half = (low + high) / 2, (high - low) / 2
        share = min(abs(self.flange_radius - middle) / half, 1.0)
        depth = self.width / 2 * (1 - share**self.exponent) ** (1 / self.exponent)
        return low, high, self.width / 2, depth

    def moved(self) -> dict[str, "Shape"]:
        """Return the shape moved by one standard uncertainty of each of its numbers, by budget name."""
        names = list(NUMBERS)
        if self.width_assumed:
            names[0] += ", assumed from the diameters"
        steps = np.eye(len(names))
        return {name: self.by(step) for name, step in zip(names, steps, strict=True)}

    def by(self, sigmas: Array) -> "Shape":
        """Return the shape with its numbers moved by so many standard uncertainties (K,), as in `NUMBERS`."""
        changes: dict[str, Any] = {
            field: float(getattr(self, field) + k * getattr(self, f"{field}_u"))
            for field, k in zip(NUMBERS.values(), sigmas, strict=True)
        }
        return replace(self, **changes)


def shape_of(tire: TireData) -> Shape:
    """Return the section that a leg's data describe."""
    height = (tire.outside_diameter_mm - tire.flange_diameter_mm) / 2
    assumed = tire.section_width_mm is None
    width = WIDTH_OF_HEIGHT * height if tire.section_width_mm is None else tire.section_width_mm
    width_u = WIDTH_OF_HEIGHT_U * height if assumed else tire.section_width_u_mm
    return Shape(tire.flange_diameter_mm / 2, tire.outside_diameter_mm, width, width_u, width_assumed=assumed)


@dataclass(frozen=True)
class Ground:
    """Where the ground cuts the tire: unit vector (2,) towards it in the wheel's plane, and how far, mm."""

    down: Array
    distance: float


def usual_ground(shape: Shape, down: Array | None, deflection: float = MEDIAN_DEFLECTION) -> Ground | None:
    """Return the ground as a tire in use stands on it, where none was seen; None where nobody knows down."""
    half = shape.outside_diameter / 2
    return None if down is None else Ground(down, half - deflection * (half - shape.flange_radius))


def depth_at(shape: Shape, ground: Ground | None, x: Array, y: Array) -> Array:
    """Return the sidewall's depth z (N,) mm over x, y (N,); within the section's ends it is held."""
    low, high, half_width, depth = shape.section
    r = np.hypot(x, y)
    top: Array | float = high
    wider: Array | float = 1.0
    off: Array | float = 0.0
    if ground is not None:
        cosine = (x * ground.down[0] + y * ground.down[1]) / np.maximum(r, 1e-9)
        cut = np.maximum(high - ground.distance / np.maximum(cosine, 0.3), 0)
        top = high - lowered(shape, ground.distance) * cut
        share = _held((r - shape.flange_radius) / np.maximum(top - shape.flange_radius, 1e-9), 1)
        wider = 1 + shape.bulge * cut / max(high - ground.distance, 1e-9) * np.sin(np.pi * share)
        # The rim holds the bead: the squashed section alone would leave the flange by several mm.
        at = np.minimum(np.abs(2 * shape.flange_radius - low - top) / (top - low), 0.995)
        bead = depth - half_width * (1 - at**shape.exponent) ** (1 / shape.exponent)
        off = bead * (1 - share) ** 2
    a = np.minimum(np.abs(2 * r - low - top) / (top - low), 0.995)
    return np.asarray(depth - half_width * wider * (1 - a**shape.exponent) ** (1 / shape.exponent) - off)


def _held(values: Array, most: float) -> Array:
    # np.clip takes five times as long on a few hundred values, and this is asked for hundreds of times.
    return np.asarray(np.minimum(np.maximum(values, 0), most))


def lip_depth(shape: Shape, inside: Array) -> Array:
    """Return the rim's depth z (N,) mm at places (N,) mm inside the flange's edge."""
    left = np.clip(shape.lip - inside, 0, shape.lip)
    return np.asarray(-np.sqrt(shape.lip**2 - left**2))


def contact_width_share(shape: Shape, distance: float) -> float:
    """Return the contact's width over the section's for an axle height.

    ``1.7 √(δ/w − 2.5 (δ/w)⁴ + 1.5 (δ/w)⁶)``, R. Smiley and W. Horne, NASA TR R-64 (1960), from memory.
    """
    half = shape.outside_diameter / 2
    # Held to the deflections of tires in use: seen steeply, depth and height would else feed each other.
    least, most = (share * (half - shape.flange_radius) for share in USUAL_DEFLECTION)
    s = min(float(np.clip(half - distance, least, most)) / shape.width, 0.5)
    return float(np.clip(1.7 * np.sqrt(s - 2.5 * s**4 + 1.5 * s**6) + shape.contact_off, 0.1, 1.0))


def contact_depth(shape: Shape, distance: float, along: Array) -> Array:
    """Return the depth z (N,) mm of the contact's front edge at places along (N,) it, behind the flange."""
    _, high, half_width, depth = shape.section
    share = contact_width_share(shape, distance)
    half_length = max(shape.contact_length * np.sqrt(max(high**2 - distance**2, 1.0)), 1.0)
    off = np.clip(np.abs(along) / half_length, 0, 0.95)
    return np.asarray(depth - share * half_width * (1 - off**2.25) ** (1 / 2.25))


@lru_cache(maxsize=512)
def lowered(shape: Shape, distance: float) -> float:
    """Return by which share of what the ground cuts off the section is lowered.

    So much that it stands on the ground as wide as its contact is.
    """
    low, high, _, _ = shape.section
    wanted = contact_width_share(shape, distance)
    few, most = 0.0, 0.99
    for _ in range(30):
        s = (few + most) / 2
        top = high - s * (high - distance)
        a = min(abs(2 * distance - low - top) / max(top - low, 1e-9), 1.0)
        share = (distance - shape.flange_radius) / max(top - shape.flange_radius, 1e-9)
        wider = 1 + shape.bulge * float(np.sin(np.pi * min(max(share, 0.0), 1.0)))
        width = (1 - a**shape.exponent) ** (1 / shape.exponent) * wider
        few, most = (s, most) if width > wanted else (few, s)
    return few


def in_wheel(pose: CirclePose, rays: Array) -> tuple[Array, Array]:
    """Return the camera's place (3,) and the rays (N, 3) in the wheel's frame."""
    frame = pose.frame
    return np.asarray(-frame @ pose.centre), np.asarray(rays @ frame.T)


def meet(shape: Shape, ground: Ground | None, pose: CirclePose, rays: Array) -> Array:
    """Return the points (N, 3) of the wheel's frame where rays (N, 3) meet the sidewall."""
    place, d = in_wheel(pose, rays)
    t = -place[2] / d[:, 2]

    def gap(t: Array) -> Array:
        p = place + t[:, None] * d
        return np.asarray(p[:, 2] - depth_at(shape, ground, p[:, 0], p[:, 1]))

    here = gap(t)
    step = np.full(len(t), -1e-3)
    for _ in range(_STEPS):
        # mm of depth for one along the ray, between the last two places (a secant); the ray's own rise
        # keeps the step the right way round where the wall is steep.
        before, here = here, gap(t - step)
        t = t - step
        flat = np.abs(step) < 1e-9  # this one has arrived: its slope is none
        slope = np.maximum((before - here) / np.where(flat, 1.0, step), 0.35 * d[:, 2])
        step = np.where(flat, 0.0, np.minimum(np.maximum(here / slope, -25), 25))
        if np.abs(step).max(initial=0.0) < _MET:
            break
    t = t - step
    return np.asarray(place + t[:, None] * d)


def on_sidewall(shape: Shape, ground: Ground | None, xy: Array) -> Array:
    """Return the sidewall's points (N, 3) over places (N, 2) of the wheel's plane."""
    return np.column_stack([xy, depth_at(shape, ground, xy[:, 0], xy[:, 1])])


def to_camera(pose: CirclePose, points: Array) -> Array:
    """Return points (N, 3) of the wheel's frame in the camera's."""
    return np.asarray(points @ pose.frame + pose.centre)


def grazed_diameter(
    shape: Shape, pose: CirclePose, rays: Array, shoulder: float = 0.0
) -> tuple[Array, Array]:
    """Return the outside diameter (N,) mm whose tire each ray grazes, and where (N, 2) in the wheel's plane.

    `shoulder` is by how much the exponent about the tread is greater than the sidewall's.  Tires of growing
    diameter enclose one another, so a ray grazes the smallest that it meets.
    """
    place, d = in_wheel(pose, rays)
    low, _, half_width, depth = shape.section
    z = depth + half_width * _GRAZING
    t = (z[None, :] - place[2]) / d[:, 2:]
    x, y = place[0] + t * d[:, :1], place[1] + t * d[:, 1:2]
    exponent = shape.exponent + shoulder
    h = (1 - np.abs(_GRAZING) ** exponent) ** (1 / exponent)
    # r = (low + high) / 2 + h (high − low) / 2, solved for the upper radius.
    high = (2 * np.hypot(x, y) - low * (1 - h)) / (1 + h)
    k = np.clip(np.argmin(high, axis=1), 1, len(z) - 2)
    rows = np.arange(len(k))
    a, b, c = high[rows, k - 1], high[rows, k], high[rows, k + 1]
    bow = np.maximum(a - 2 * b + c, 1e-12)
    least = b - (a - c) ** 2 / (8 * bow)
    return 2 * least, np.column_stack([x[rows, k], y[rows, k]])


def outline_course(shape: Shape, pose: CirclePose, clock: Array) -> Array:
    """Return points (N, 3) in the camera's frame where the tire's outline lies about, by clock (N,) rad."""
    low, high, half_width, depth = shape.section
    b = np.linspace(-0.95, 0.3, 26)
    h = (1 - np.abs(b) ** shape.exponent) ** (1 / shape.exponent)
    r = (low + high) / 2 + (high - low) / 2 * h
    out = np.column_stack([np.sin(clock), -np.cos(clock)])
    place = -pose.frame @ pose.centre
    points = np.dstack(
        [
            out[:, None, 0] * r,
            out[:, None, 1] * r,
            np.broadcast_to(depth + half_width * b, (len(clock), len(b))),
        ]
    )
    # The outline is where the section, seen from the camera, reaches farthest out.
    seen = points[..., :2] - place[:2]
    across = (seen * out[:, None, :]).sum(axis=2) / (points[..., 2] - place[2])
    k = np.argmax(across, axis=1)
    return to_camera(pose, points[np.arange(len(k)), k])
