"""Composited photos of surfaces with known rub marks, and of surfaces with what is no wear.

The fast tier of the surface search: own texture times a lamp's light on a flat or round form, marks and
things on it, then blur, noise, tone curve and JPEG.  Marks are drawn, not photographed: they are what
rubbing is said to look like (brighter and smoother, scratched along one direction, darker), no more.
Pixels have their centres at integers (x right, y down).
"""

from dataclasses import dataclass

import cv2
import numpy as np

from tests.scenes.develop import srgb
from tests.scenes.surface_light import HOWS, SURFACES, Array, Mark, ground, shade, worn

WIDTH, HEIGHT = 2016, 1512
KINDS = ("worn", "clean")
THINGS = ("rivets", "label", "gap", "drops", "shadow")


@dataclass(frozen=True)
class Thing:
    """What is no wear: its kind and outlines (N, 2) px."""

    kind: str
    outlines_px: tuple[Array, ...]


@dataclass(frozen=True)
class SurfaceCase:
    """JPEG bytes, the region shown to the search, and what is on it."""

    photo_bytes: bytes
    region_px: tuple[tuple[float, float], ...]
    surface: str
    form: str
    marks: tuple[Mark, ...]
    things: tuple[Thing, ...]


def surface_case(seed: int, kind: str = "worn") -> SurfaceCase:
    """Draw one case of a seed: "worn" with one to four marks, "clean" with none; things are on both.

    Raises
    ------
    ValueError
        If the kind is none of these.
    """
    if kind not in KINDS:
        msg = f"kind {kind!r} is unknown; use {' or '.join(KINDS)}"
        raise ValueError(msg)
    rng = np.random.default_rng([808, seed, KINDS.index(kind)])
    surface = SURFACES[seed % len(SURFACES)]
    form = "round" if seed // len(SURFACES) % 2 else "flat"
    turn = float(rng.uniform(-0.3, 0.3)) + (np.pi / 2 if rng.random() < 0.3 else 0.0)
    region = _region(rng)
    things = tuple(_things(rng))
    marks = tuple(_marks(rng, things)) if kind == "worn" else ()
    texture = ground(rng, surface, (HEIGHT, WIDTH), float(rng.uniform(0.8, 2.0)))
    lit, mirrored = shade(rng, form, (HEIGHT, WIDTH), turn)
    tint = float(rng.uniform(0.12, 0.5)) * rng.uniform(0.8, 1.15, 3).astype(np.float32)
    mean = lit[..., None] * tint
    light = mean * texture[..., None]
    for thing in things:
        light, mirrored = _laid(light, mirrored, thing, rng)
    light, mirrored = worn(light, mirrored, mean, marks, turn)
    light = light + mirrored[..., None]
    return SurfaceCase(_photo(rng, light), region, surface, form, marks, things)


def _region(rng: np.random.Generator) -> tuple[tuple[float, float], ...]:
    """Four corners somewhat inside the photo, out of square as a person taps them."""
    x, y = rng.uniform(40, 140, 2)
    corners = np.array([[x, y], [WIDTH - x, y], [WIDTH - x, HEIGHT - y], [x, HEIGHT - y]])
    corners = corners + rng.uniform(-25, 25, (4, 2))
    return tuple((float(a), float(b)) for a, b in corners)


def _things(rng: np.random.Generator) -> list[Thing]:
    found: list[Thing] = []
    for kind in rng.choice(THINGS, int(rng.integers(0, 4)), replace=False):
        x, y = rng.uniform(260, WIDTH - 260), rng.uniform(260, HEIGHT - 260)
        if kind == "rivets":
            step, radius = float(rng.uniform(70, 160)), float(rng.uniform(9, 22))
            way = rng.uniform(0, np.pi)
            count = int(rng.integers(5, 12))
            places = [(x + k * step * np.cos(way), y + k * step * np.sin(way)) for k in range(-count, count)]
            shapes = [_ellipse(*at, radius, radius, 0) for at in places if _within(*at, radius)]
        elif kind == "label":
            wide, high = rng.uniform(80, 240), rng.uniform(50, 130)
            box = np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high]]) / 2
            shapes = [box @ _turn(rng.uniform(-0.2, 0.2)).T + [x, y]]
        elif kind == "gap":
            way, half = rng.uniform(0, np.pi), rng.uniform(2, 5)
            box = np.array([[-3000, -half], [3000, -half], [3000, half], [-3000, half]])
            shapes = [box @ _turn(way).T + [x, y]]
        elif kind == "drops":
            shapes = [
                _ellipse(x + rng.normal() * 120, y + rng.normal() * 120, r, r, 0)
                for r in rng.uniform(5, 16, int(rng.integers(1, 5)))
            ]
        else:
            box = np.array([[-3000, 0], [3000, 0], [3000, 3000], [-3000, 3000]])
            shapes = [box @ _turn(rng.uniform(0, 2 * np.pi)).T + [x, y]]
        found.append(Thing(str(kind), tuple(shapes)))
    return found


def _marks(rng: np.random.Generator, things: tuple[Thing, ...]) -> list[Mark]:
    """One to four rubs, apart from each other and from what lies on the surface."""
    taken = np.zeros((HEIGHT, WIDTH), np.uint8)
    for thing in things:
        if thing.kind != "shadow":
            for outline in thing.outlines_px:
                cv2.fillPoly(taken, [np.round(outline).astype(np.int32)], 1)
    marks: list[Mark] = []
    for _ in range(int(rng.integers(1, 5))):
        a = float(np.exp(rng.uniform(np.log(14), np.log(110))))
        b = a * float(rng.uniform(0.4, 1.0))
        x, y = rng.uniform(200 + a, WIDTH - 200 - a), rng.uniform(200 + a, HEIGHT - 200 - a)
        outline = _ellipse(x, y, a, b, turn := float(rng.uniform(0, np.pi)))
        room = np.zeros_like(taken)
        cv2.fillPoly(room, [np.round(_ellipse(x, y, a + 30, b + 30, turn)).astype(np.int32)], 1)
        if (room & taken).any():
            continue
        cv2.fillPoly(taken, [np.round(_ellipse(x, y, 2 * a + 30, 2 * b + 30, turn)).astype(np.int32)], 1)
        how = HOWS[int(rng.choice(3, p=(0.5, 0.3, 0.2)))]
        grade, seed = int(rng.integers(1, 4)), int(rng.integers(1e9))
        marks.append(Mark(outline, (float(x), float(y)), (a, b), turn, how, grade, seed))
    return marks


def _laid(light: Array, mirrored: Array, thing: Thing, rng: np.random.Generator) -> tuple[Array, Array]:
    """Lay a thing on the surface, soft at its edge."""
    cover = np.zeros(mirrored.shape, np.float32)
    for outline in thing.outlines_px:
        cv2.fillPoly(cover, [np.round(outline).astype(np.int32)], 1.0)
    if thing.kind == "shadow":
        cover = cv2.GaussianBlur(cover, (0, 0), float(rng.uniform(2, 25)))
        depth = float(rng.uniform(0.25, 0.6))
        return light * (1 - depth * cover)[..., None], mirrored * (1 - 0.9 * cover)
    cover = cv2.GaussianBlur(cover, (0, 0), 1.2)
    even = cv2.blur(light, (41, 41))
    if thing.kind == "gap":
        return light * (1 - float(rng.uniform(0.5, 0.9)) * cover)[..., None], mirrored * (1 - cover)
    if thing.kind == "drops":
        moved = np.roll(cover, (-3, -3), (0, 1))
        glint = cv2.GaussianBlur(np.clip(cover - moved, 0, 1), (0, 0), 1.0)
        return light * (1 - 0.3 * cover)[..., None], mirrored + 0.5 * glint
    if thing.kind == "rivets":
        # A raised head: its side to the lamp is bright, the other dark.
        relief = cover - np.roll(cover, (3, 3), (0, 1))
        return light * (1 + 0.5 * cv2.GaussianBlur(relief, (0, 0), 1.5))[..., None], mirrored
    tint = rng.uniform(0.4, 0.8) * rng.uniform(0.7, 1.2, 3)
    face = even / even.mean() * tint
    (box,) = thing.outlines_px
    rows = np.zeros(mirrored.shape, np.float32)
    for share in np.linspace(0.2, 0.8, 4):
        left, right = (1 - share) * box[[0, 1]] + share * box[[3, 2]]
        for k in range(12):
            ends = [left + (right - left) * (0.1 + 0.8 * (k + part) / 12) for part in (0.1, 0.75)]
            cv2.line(rows, *(tuple(np.round(end).astype(int)) for end in ends), 1.0, 4)
    face = face * (1 - 0.85 * cv2.GaussianBlur(rows, (0, 0), 0.8))[..., None]
    return light * (1 - cover)[..., None] + face * cover[..., None], mirrored * (1 - 0.5 * cover)


def _photo(rng: np.random.Generator, light: Array) -> bytes:
    """Blur, expose, add noise, code."""
    light = cv2.GaussianBlur(light.astype(np.float32), (0, 0), float(rng.uniform(0.6, 1.3)))
    light = light * float(rng.uniform(0.6, 1.0)) / float(np.quantile(light[::8, ::8], 0.97))
    noise = rng.normal(size=light.shape).astype(np.float32) * float(rng.uniform(0.003, 0.012))
    light = light + noise * np.sqrt(0.1 + np.clip(light, 0, 1))
    picture = np.round(255 * srgb(np.clip(light, 0, 1))).astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(82, 96))]
    return cv2.imencode(".jpg", np.ascontiguousarray(picture[..., ::-1]), quality)[1].tobytes()


def _ellipse(x: float, y: float, a: float, b: float, turn: float) -> Array:
    at = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    return np.stack([a * np.cos(at), b * np.sin(at)], 1) @ _turn(turn).T + [x, y]


def _turn(angle: float) -> Array:
    return np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])


def _within(x: float, y: float, margin: float) -> bool:
    return margin < x < WIDTH - margin and margin < y < HEIGHT - margin
