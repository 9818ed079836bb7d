"""A hose as a shaded cylinder: its cover, streak, sliding reflections and worn spots, in linear light."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from scipy.ndimage import gaussian_filter
from scipy.spatial import cKDTree

Array = np.ndarray


@dataclass(frozen=True)
class Hose:
    """A hose: centre line (N, 2) px of the first photo, its size, cover, the streak's angle (rad), a seed, from
    where to where along it there is a cover."""

    centre_line_px: Array
    diameter_mm: float
    radius_px: float
    cover: str
    light_rad: float
    seed: int
    cover_px: tuple[float, float] = (-np.inf, np.inf)

    @cached_property
    def along_px(self) -> Array:
        """Arc length (N,) at each point of the centre line."""
        steps = np.hypot(*np.diff(self.centre_line_px, axis=0).T)
        return np.concatenate([[0], np.cumsum(steps)])

    @cached_property
    def normals(self) -> Array:
        """Unit normals (N, 2), to the right of the heading as seen in the photo."""
        x, y = np.gradient(self.centre_line_px, axis=0).T
        return np.stack([-y, x], 1) / np.hypot(x, y)[:, None]

    @property
    def heading(self) -> Array:
        """Unit vector (2,) from the first to the last point."""
        way = self.centre_line_px[-1] - self.centre_line_px[0]
        return way / np.hypot(*way)


@dataclass(frozen=True)
class Spot:
    """Wear: outline (N, 2) px, place along (px) and round (rad), length and width mm, px, grade 1–3, hose index,
    share of it that is turned to the camera."""

    outline_px: Array
    along_px: float
    angle_rad: float
    size_mm: float
    around_mm: float
    size_px: float
    grade: int
    hose: int
    visible_share: float


@dataclass(frozen=True)
class Near:
    """Pixels on a cylinder about a hose's course: place along (px), angle (rad), share covered (n, 1)."""

    rows: Array
    columns: Array
    along_px: Array
    angle: Array
    share: Array
    shadow: Array

    def over(self, light: Array, colour: Array) -> Array:
        """The picture with a colour (n, 3) laid there, and a soft shadow about it."""
        out = light * (1 - 0.35 * self.shadow)[:, :, None]
        there = out[self.rows, self.columns]
        out[self.rows, self.columns] = there * (1 - self.share) + colour * self.share
        return out


def near_hose(
    shape: tuple[int, int],
    hose: Hose,
    by: Array,
    wide: float = 1.0,
    ends: tuple[float, float] = (-np.inf, np.inf),
) -> Near | None:
    """The pixels of a cylinder `wide` times as thick as the hose, from and to px along it; None without any."""
    radius = wide * hose.radius_px
    here = (hose.along_px >= ends[0]) & (hose.along_px <= ends[1])
    if here.sum() < 2:
        return None
    near = np.zeros(shape, np.uint8)
    line = hose.centre_line_px + by
    cv2.polylines(near, [np.round(line[here]).astype(np.int32)], False, 1, int(2 * radius + 6))
    rows, columns = np.nonzero(near)
    if not len(rows):
        return None
    there = np.stack([columns, rows], 1)
    _, index = cKDTree(line).query(there)
    apart = there - line[index]
    tangent = np.stack([hose.normals[index, 1], -hose.normals[index, 0]], 1)
    along = hose.along_px[index] + (apart * tangent).sum(1)
    v = (apart * hose.normals[index]).sum(1) / radius
    angle = np.arcsin(np.clip(v, -1, 1))
    within = np.clip(np.minimum(along - ends[0], ends[1] - along) + 0.5, 0, 1)
    share = (np.clip((1 - np.abs(v)) * radius + 0.5, 0, 1) * within)[:, None]
    shadow = cv2.GaussianBlur(near.astype(np.float32), (0, 0), 0.5 * radius)
    return Near(rows, columns, along, angle, share, shadow)


def lit(
    light: Array, hose: Hose, spots: list[Spot], by: Array, scale: float, slid_mm: float,
    sun: Sequence[Callable[[Near], Array]] = (),
) -> Array:  # fmt: skip
    """The picture (h, w, 3) with the hose on it; `by` moves it in px, reflections slide by `slid_mm`, `sun` adds."""
    near = near_hose(light.shape[:2], hose, by, ends=hose.cover_px)
    if near is None:
        return light
    colour = _surface(
        hose, spots, near.along_px / scale, near.angle, scale, slid_mm, [one(near) for one in sun]
    )
    return near.over(light, colour)


def _surface(
    hose: Hose, spots: list[Spot], along: Array, angle: Array, scale: float, slid_mm: float, sun: list[Array]
) -> Array:
    """Linear colour (n, 3) of points at `along` mm and `angle` rad of the cover."""
    rng = np.random.default_rng(hose.seed)
    around = angle * hose.diameter_mm / 2
    grain = gaussian_filter(rng.normal(size=(256, 256)), 0.8, mode="wrap")
    fine = 2 * grain[np.floor(3 * along).astype(int) % 256, np.floor(3 * around).astype(int) % 256]
    mirror = np.exp(1.5 * np.sin((along - slid_mm) / 17 + rng.uniform(0, 6)) - 2.2)
    mirror = mirror + 0.3 * np.exp(0.8 * np.sin((along - slid_mm) / 41))
    turned = np.maximum(np.cos(angle - hose.light_rad), 0)
    width, gloss, albedo = {
        "rubber": (0.22, 0.16, 0.035),
        "textile": (0.6, 0.03, 0.16),
        "metal_braid": (0.5, 0.25, 0.2),
    }[hose.cover]
    weave = 1 + 0.10 * fine
    if hose.cover != "rubber":
        pitch = 1.6 if hose.cover == "textile" else 2.4
        one, two = np.sin(2 * np.pi * (along + around) / pitch), np.sin(2 * np.pi * (along - around) / pitch)
        weave = weave * (1 + (0.25 if hose.cover == "textile" else 0.45) * np.maximum(one, two))
    streak = np.exp(-(((angle - hose.light_rad) / width) ** 2))
    side = np.exp(-(((angle + 0.8 * hose.light_rad) / (1.4 * width)) ** 2))
    diffuse = albedo * (0.25 + 0.75 * turned) * weave
    shine = (
        gloss
        * (streak * (0.75 + 0.12 * fine) + 0.35 * side * mirror)
        * (weave if hose.cover == "metal_braid" else 1)
    )
    for added in sun:
        # A rough weave spreads the sun; its own threads still show in it.
        shine = (
            shine
            + added
            * {"rubber": 1 + 0.12 * fine, "textile": 0.25 * weave, "metal_braid": 0.7 * weave}[hose.cover]
        )
    for spot in spots:
        a = (along - spot.along_px / scale) / (spot.size_mm / 2)
        b = (angle - spot.angle_rad) * hose.diameter_mm / spot.around_mm
        # A ragged rim, soft over a fifth of the radius: wear has no drawn edge.
        worn = np.clip((1.05 - np.hypot(a, b) + 0.08 * fine) / 0.25, 0, 1)
        power = (0.35, 0.65, 1.0)[spot.grade - 1] * worn
        if hose.cover == "rubber":
            diffuse = diffuse * (1 + 1.6 * power) + 0.03 * power * turned
            shine = shine * (1 + 0.5 * power) + 0.06 * power * turned**3
        elif hose.cover == "textile":
            diffuse = diffuse * (1 - 0.3 * power) + power * (0.22 + 0.10 * fine) * (0.25 + 0.75 * turned)
        else:
            broken = 0.5 + 0.5 * np.sin(2 * np.pi * (along + around) / 2.4 + 2 * fine)
            diffuse = diffuse * (1 - 0.75 * power * broken)
            shine = shine * (1 - 0.75 * power * broken)
    tint = np.array(
        {"rubber": (1, 1, 1.03), "textile": (1, 0.92, 0.78), "metal_braid": (1, 0.99, 0.95)}[hose.cover]
    )
    return diffuse[:, None] * tint + shine[:, None]
