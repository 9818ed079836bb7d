"""What is no wear, on a hose or in its light: clamps, tape, labels, fluid, end fittings, sun.

Lengths along are mm of the first photo; what is drawn moves with the hose.
"""

from dataclasses import dataclass, field

import cv2
import numpy as np

from tests.scenes.hose_light import Array, Hose, Near, Spot, near_hose

FLUID = ("drop", "fluid")


@dataclass(frozen=True)
class Distractor:
    """A thing that is no wear: what it is, its outline (N, 2) px, its hose, and what its drawing needs."""

    kind: str
    outline_px: Array
    hose: int
    drawn: dict[str, float] = field(default_factory=dict)


def outline(hose: Hose, at: float, angle: float, length_mm: float, around_mm: float, scale: float) -> Array:
    """An ellipse on the cover as pixels (48, 2); places behind the limb are laid on it."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    along = at + length_mm / 2 * scale * np.cos(turn)
    around = np.clip(angle + around_mm / hose.diameter_mm * np.sin(turn), -np.pi / 2, np.pi / 2)
    place = np.stack([np.interp(along, hose.along_px, c) for c in hose.centre_line_px.T], 1)
    normal = np.stack([np.interp(along, hose.along_px, c) for c in hose.normals.T], 1)
    return place + normal * (hose.radius_px * np.sin(around))[:, None]


def across(hose: Hose, first: float, last: float, wide: float = 1.08) -> Array:
    """The outline of what goes right round a hose from `first` to `last`, px along; `wide` in its radii."""
    ends = np.interp([first, last], hose.along_px, np.arange(len(hose.along_px)))
    rows = np.linspace(*ends, 12).astype(int)
    rim = hose.radius_px * wide * hose.normals[rows]
    return np.concatenate([hose.centre_line_px[rows] + rim, (hose.centre_line_px[rows] - rim)[::-1]])


def laid_over(
    rng: np.random.Generator, hose: Hose, inside: Array, spots: tuple[Spot, ...], scale: float
) -> list[Distractor]:
    """Clamps, tape, labels and drops on the first hose, none over a spot."""
    found = []
    for kind in rng.choice(
        ["clamp", "tape", "label", "drop", "fluid"], int(rng.integers(1, 4)), replace=False
    ):
        length = {"clamp": 12, "tape": 20, "label": 18, "drop": 4, "fluid": 25}[str(kind)]
        at = float(hose.along_px[rng.choice(inside)])
        if any(s.hose == 0 and abs(s.along_px - at) < (length + s.size_mm + 6) / 2 * scale for s in spots):
            continue
        if kind in ("clamp", "tape"):
            shape = across(hose, at - length * scale / 2, at + length * scale / 2)
        else:
            shape = outline(hose, at, float(rng.uniform(-0.5, 0.5)), length, hose.diameter_mm * 0.6, scale)
        found.append(Distractor(str(kind), shape, 0))
    return found


def metal_and_sun(
    rng: np.random.Generator, hose: Hose, inside: Array, spots: tuple[Spot, ...], scale: float
) -> list[Distractor]:
    """An end fitting, a metal clamp, a sun streak and a sunlit patch, each in some of the photos.

    None lies over a spot: what the sun burns out or metal hides is not there to be found.
    """
    mine = [spot for spot in spots if spot.hose == 0]
    low, high = hose.along_px[inside[[0, -1]]]
    found = []

    def free(first: float, last: float) -> bool:
        return not any(
            first - (s.size_mm / 2 + 6) * scale < s.along_px < last + (s.size_mm / 2 + 6) * scale
            for s in mine
        )

    def somewhere(length: float) -> float | None:
        for at in rng.uniform(low, max(high - length, low + 1), 8):
            if free(float(at), float(at + length)):
                return float(at)
        return None

    wanted = rng.random(4) < (0.4, 0.3, 0.5, 0.35)
    kinds = [kind for kind, want in zip(("fitting", "clamp", "streak", "sun"), wanted, strict=True) if want]
    for kind in kinds:
        if kind == "fitting":
            way = float(rng.choice([-1, 1]))
            end = (low if way < 0 else high) - way * rng.uniform(0.04, 0.2) * (high - low)
            length = 2.3 * 2 * hose.radius_px
            ends = sorted((end, end + way * 5 * (high - low)))
            if free(*ends):
                shape = across(hose, *sorted((end, end + way * length)), 1.2)
                found.append(Distractor("fitting", shape, 0, {"end": end, "way": way}))
        elif kind == "clamp":
            length = rng.uniform(8, 15) * scale
            at = somewhere(length)
            if at is not None:
                shape = across(hose, at, at + length, 1.15)
                found.append(Distractor("clamp", shape, 0, {"first": at, "last": at + length}))
        elif kind == "streak":
            length = rng.uniform(60, 250) * scale
            at = somewhere(length)
            power, wide, soft = rng.uniform(0.2, 1.0), rng.uniform(0.05, 0.16), rng.choice([1.0, 8.0, 20.0])
            if at is not None:
                shape = outline(
                    hose, at + length / 2, hose.light_rad, length / scale, wide * hose.diameter_mm, scale
                )
                drawn = {"first": at, "last": at + length, "power": power, "wide": wide, "soft": soft * scale}
                found.append(Distractor("streak", shape, 0, drawn))
        else:
            length = rng.uniform(15, 60) * scale
            at = somewhere(length)
            factor, soft, slant = rng.uniform(2.2, 4.0), rng.uniform(1, 6), rng.uniform(-0.6, 0.6)
            if at is not None:
                drawn = {"first": at, "last": at + length, "factor": factor, "soft": soft, "slant": slant}
                place, tangent, half = _bar(hose, drawn)
                sides = [place - half * tangent, place + half * tangent]
                far = 5000 * np.array([-tangent[1], tangent[0]])
                shape = np.array([sides[0] - far, sides[1] - far, sides[1] + far, sides[0] + far])
                found.append(Distractor("sun", shape, 0, drawn))
    return found


def laid(light: Array, other: Distractor, by: Array, rng: np.random.Generator) -> Array:
    """A clamp, tape, label or fluid over the hose, soft at its edge."""
    cover = np.zeros(light.shape[:2], np.float32)
    cv2.fillPoly(cover, [np.round(other.outline_px + by).astype(np.int32)], 1.0)
    cover = cv2.GaussianBlur(cover, (0, 0), 1.0)[:, :, None]
    # Grain may leave a little less than no light.
    shade = np.maximum(light.max(axis=2, keepdims=True), 0) ** 0.5
    if other.kind in FLUID:
        return light * (1 - cover * 0.45) + cover * 0.25 * np.clip(shade - 0.35, 0, 1)
    tint = {"clamp": (0.5, 0.5, 0.52), "tape": (0.55, 0.45, 0.1), "label": (0.7, 0.7, 0.68)}[other.kind]
    return light * (1 - cover) + cover * np.array(tint) * (0.35 + shade) * rng.uniform(0.8, 1.1)


def with_metal(light: Array, other: Distractor, hose: Hose, by: Array) -> Array:
    """A metal clamp's band, or a fitting: a crimped ferrule, its nut, and the pipe that goes on from it."""
    width = 2 * hose.radius_px
    if other.kind == "clamp":
        return _metal(light, hose, by, other.drawn["first"], other.drawn["last"], 1.1, 0.0)
    end, way = other.drawn["end"], other.drawn["way"]
    for first, last, wide, groove in (
        (2.2, 1e3, 0.55, 0.0),
        (1.4, 2.3, 1.3, 0.0),
        (0.0, 1.5, 1.12, 0.16 * width),
    ):
        light = _metal(
            light, hose, by, *sorted((end + way * first * width, end + way * last * width)), wide, groove
        )
    return light


def _metal(
    light: Array, hose: Hose, by: Array, first: float, last: float, wide: float, groove: float
) -> Array:
    """A steel cylinder about the hose's course: it mirrors light and dark bands that run along it."""
    near = near_hose(light.shape[:2], hose, by, wide, (first, last))
    if near is None:
        return light
    rng = np.random.default_rng([hose.seed, round(10 * wide)])
    angle = near.angle
    bands = np.exp(
        1.2 * np.sin(3.1 * angle + rng.uniform(0, 6)) + 0.8 * np.sin(7 * angle + rng.uniform(0, 6))
    )
    steel = 0.06 + 0.10 * bands + 0.9 * np.exp(-(((angle - hose.light_rad) / 0.1) ** 2))
    if groove:
        steel = steel * (0.75 + 0.25 * np.sin(2 * np.pi * near.along_px / groove))
    steel = steel * np.clip(np.cos(angle) + 0.15, 0, 1)
    return near.over(light, steel[:, None] * np.array([1, 0.99, 0.96]))


def sun_streak(near: Near, hose: Hose, other: Distractor) -> Array:
    """What a sun streak adds (n,) to the light of places on the hose."""
    told = other.drawn
    ends = 1 / (1 + np.exp(np.clip(-(near.along_px - told["first"]) / told["soft"] * 3, -50, 50)))
    ends = ends / (1 + np.exp(np.clip((near.along_px - told["last"]) / told["soft"] * 3, -50, 50)))
    return told["power"] * ends * np.exp(-(((near.angle - hose.light_rad) / told["wide"]) ** 2))


def sunlit(light: Array, other: Distractor, hose: Hose, by: Array) -> Array:
    """A bar of sun that falls over hose and ground, with a half shadow at its sides."""
    place, tangent, half = _bar(hose, other.drawn)
    y, x = np.mgrid[: light.shape[0], : light.shape[1]]
    off = np.abs((x - place[0] - by[0]) * tangent[0] + (y - place[1] - by[1]) * tangent[1])
    lit = np.clip(0.5 + (half - off) / (2 * other.drawn["soft"]), 0, 1)
    return light * (1 + (other.drawn["factor"] - 1) * lit[:, :, None])


def _bar(hose: Hose, drawn: dict[str, float]) -> tuple[Array, Array, float]:
    """A bar's middle (2,) px, its direction across (2,), and half its width, px."""
    middle = (drawn["first"] + drawn["last"]) / 2
    index = int(np.searchsorted(hose.along_px, middle))
    normal, slant = hose.normals[index], drawn["slant"]
    tangent = np.array([normal[1], -normal[0]]) * np.cos(slant) + normal * np.sin(slant)
    return hose.centre_line_px[index], tangent, (drawn["last"] - drawn["first"]) / 2 * np.cos(slant)
