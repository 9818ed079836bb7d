"""A piece of a surface in linear light: its own texture, its shape under a lamp, and rub marks on it."""

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from skimage import data

Array = np.ndarray
SURFACES = ("paint", "rough paint", "brushed", "brick", "gravel", "grass")
HOWS = ("shiny", "scratched", "dark")


@dataclass(frozen=True)
class Mark:
    """A rub: outline (N, 2) px, middle, half axes px, turn rad, how, grade 1–3, a seed."""

    outline_px: Array
    middle_px: tuple[float, float]
    half_px: tuple[float, float]
    turn: float
    how: str
    grade: int
    seed: int

    @property
    def size_px(self) -> float:
        """Its longest side."""
        return 2 * max(self.half_px)


def ground(rng: np.random.Generator, kind: str, shape: tuple[int, int], grain_px: float) -> Array:
    """Relative reflectance (h, w) of a surface, 1 in the mean; textures are those of scikit-image.

    `grain_px` is the size of the finest structure of paint.
    """
    height, width = shape
    if kind in ("brick", "gravel", "grass"):
        picture = getattr(data, kind)().astype(np.float32) / 255
        zoom = float(rng.uniform(1.2, 3.0))
        side = int(picture.shape[0] * zoom)
        tile = cv2.resize(picture, (side, side), interpolation=cv2.INTER_CUBIC)
        across, down = -(-width // side), -(-height // side)
        # Mirrored at each joint, or the joints would be the plainest structure of all.
        row = np.hstack([tile[:, :: (-1) ** k] for k in range(across)])
        whole = np.vstack([row[:: (-1) ** k] for k in range(down)])[:height, :width]
        return 1 + float(rng.uniform(0.4, 1.0)) * (whole - whole.mean())
    noise = rng.normal(size=shape).astype(np.float32)
    if kind == "brushed":
        fine = _unit(cv2.GaussianBlur(noise, (0, 0), sigmaX=14 * grain_px, sigmaY=0.6))
        return 1 + float(rng.uniform(0.05, 0.12)) * fine
    strength = {"paint": (0.01, 0.035), "rough paint": (0.05, 0.1)}[kind]
    fine = _unit(cv2.GaussianBlur(noise, (0, 0), grain_px))
    blotch = _unit(cv2.GaussianBlur(rng.normal(size=shape).astype(np.float32), (0, 0), 12 * grain_px))
    return 1 + float(rng.uniform(*strength)) * (fine + 0.3 * blotch)


def shade(rng: np.random.Generator, form: str, shape: tuple[int, int], turn: float) -> tuple[Array, Array]:
    """Light that falls on it and light that it mirrors, both (h, w); a cylinder's axis is turned by `turn`."""
    height, width = shape
    y, x = np.mgrid[:height, :width].astype(np.float32)
    slope = float(rng.uniform(0, 0.5)) / width
    way = float(rng.uniform(0, 2 * np.pi))
    slow = 1 + slope * ((x - width / 2) * np.cos(way) + (y - height / 2) * np.sin(way))
    slow = slow * (1 + 0.06 * np.sin(x / rng.uniform(250, 500) + 1) * np.cos(y / rng.uniform(250, 500)))
    if form == "flat":
        bright = np.exp(
            -(((x - rng.uniform(0, width)) / 700) ** 2) - (((y - rng.uniform(0, height)) / 500) ** 2)
        )
        return slow, float(rng.uniform(0, 0.12)) * bright
    across = (x - width / 2) * -np.sin(turn) + (y - height / 2) * np.cos(turn)
    along = (x - width / 2) * np.cos(turn) + (y - height / 2) * np.sin(turn)
    angle = np.arcsin(np.clip(across / (0.62 * height), -1, 1))
    lamp = float(rng.uniform(-0.6, 0.6))
    lit = 0.3 + 0.7 * np.maximum(np.cos(angle - lamp), 0)
    streak = np.exp(-(((angle - lamp) / rng.uniform(0.06, 0.25)) ** 2))
    wave = 1 + 0.25 * np.sin(along / rng.uniform(120, 400) + rng.uniform(0, 6))
    return slow * lit, float(rng.uniform(0.08, 0.3)) * streak * wave


def worn(
    light: Array, mirrored: Array, mean: Array, marks: Sequence[Mark], axis: float
) -> tuple[Array, Array]:
    """Return the light and the mirrored light with the rubs; `mean` is the light without own texture."""
    height, width = mirrored.shape
    for mark in marks:
        rng = np.random.default_rng(mark.seed)
        reach = int(1.6 * max(mark.half_px)) + 3
        (cx, cy), (a, b) = mark.middle_px, mark.half_px
        top, left = max(int(cy) - reach, 0), max(int(cx) - reach, 0)
        box = slice(top, min(int(cy) + reach, height)), slice(left, min(int(cx) + reach, width))
        y, x = np.mgrid[box].astype(np.float32)
        u = ((x - cx) * np.cos(mark.turn) + (y - cy) * np.sin(mark.turn)) / a
        v = (-(x - cx) * np.sin(mark.turn) + (y - cy) * np.cos(mark.turn)) / b
        ragged = _unit(
            cv2.GaussianBlur(rng.normal(size=u.shape).astype(np.float32), (0, 0), max(0.12 * b, 1))
        )
        # A ragged rim, soft over a fifth of the radius: wear has no drawn edge.
        share = np.clip((1.05 - np.hypot(u, v) + 0.1 * ragged) / 0.25, 0, 1)
        power = (0.35, 0.65, 1.0)[mark.grade - 1] * share
        part, own = light[box], mean[box]
        if mark.how == "shiny":
            light[box] = (own + (part - own) * (1 - 0.8 * power)[..., None]) * (1 + 0.35 * power)[..., None]
            mirrored[box] += (0.05 + 0.5 * mirrored[box]) * power * own.mean(axis=2)
        elif mark.how == "scratched":
            lines = _unit(cv2.GaussianBlur(rng.normal(size=u.shape).astype(np.float32), (0, 0), 0.7))
            long = max(int(0.5 * a) | 1, 5)
            lines = _unit(cv2.filter2D(lines, -1, _line(long, mark.turn)))
            light[box] = part * (1 + power * (0.2 + 0.45 * np.clip(lines, 0, 3)))[..., None]
        else:
            light[box] = part * (1 - 0.45 * power)[..., None]
    return light, mirrored


def _unit(noise: Array) -> Array:
    return (noise - noise.mean()) / max(float(noise.std()), 1e-6)


def _line(length: int, turn: float) -> Array:
    kernel = np.zeros((length, length), np.float32)
    middle, half = length // 2, length / 2
    ends = [
        (round(middle + sign * half * np.cos(turn)), round(middle + sign * half * np.sin(turn)))
        for sign in (-1, 1)
    ]
    cv2.line(kernel, *ends, 1.0)
    return kernel / kernel.sum()
