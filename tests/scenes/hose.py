"""Composited photos of hoses with known wear: shaded ribbons on the textures that scikit-image carries.

The fast tier of the hose search. A hose is a cylinder seen square-on: a pixel at the signed offset v·R from
the centre line has the surface angle asin(v). Lights are far away, so a streak keeps its angle along the
hose; what the cover mirrors of near surroundings slides along it when the camera moves.
Pixels have their centres at integers (x right, y down); lengths along and across are mm.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from skimage import data

from tests.scenes.develop import srgb
from tests.scenes.hose_light import Array, Hose, Spot, lit

WIDTH, HEIGHT = 1600, 1200
COVERS = ("rubber", "textile", "metal_braid")
SLIDE = (0.5, 0.8)  # mm a reflection slides for each mm that the camera moves along the hose


@dataclass(frozen=True)
class Distractor:
    """A thing that is no wear: what it is, its outline (N, 2) px, its hose."""

    kind: str
    outline_px: Array
    hose: int


@dataclass(frozen=True)
class HoseTruth:
    """What is on the first photo; `shift_mm` is the camera's way along the first hose, None without a pair."""

    hoses: tuple[Hose, ...]
    spots: tuple[Spot, ...]
    distractors: tuple[Distractor, ...]
    px_per_mm: float
    shift_mm: float | None


@dataclass(frozen=True)
class HoseCase:
    """JPEG bytes of one or two photos, and their truth."""

    photo_bytes: bytes
    second_bytes: bytes | None
    truth: HoseTruth


def hose_case(seed: int, kind: str = "fair") -> HoseCase:
    """Draw one case of a seed.

    Parameters
    ----------
    kind : "fair" (wear, distractors, no second photo), "pair" (camera moved 100–160 mm along), "still" (a
        pair from one place, moved at most 4 mm) or "clean" (no wear, distractors stay).

    Raises
    ------
    ValueError
        If the kind is none of these.
    """
    if kind not in ("fair", "pair", "still", "clean"):
        msg = f"kind {kind!r} is unknown; use fair, pair, still or clean"
        raise ValueError(msg)
    rng = np.random.default_rng([606, seed])
    scale = float(rng.uniform(1.8, 5.0))
    cover = COVERS[seed % 3]
    slide = float(rng.uniform(*SLIDE))
    hoses = [_hose(rng, cover, scale, crossing=False)]
    if rng.random() < 0.3:
        hoses.append(_hose(rng, COVERS[int(rng.integers(3))], scale, crossing=True))
    spots = () if kind == "clean" else tuple(_spots(rng, hoses, scale))
    others = tuple(_distractors(rng, hoses, spots, scale))
    shift = {"pair": float(rng.uniform(100, 160)), "still": float(rng.uniform(0, 4))}.get(kind)
    back = _background(rng)
    first = _photo(seed, back, hoses, spots, others, scale, 0.0, slide)
    second = None if shift is None else _photo(seed, back, hoses, spots, others, scale, shift, slide)
    return HoseCase(first, second, HoseTruth(tuple(hoses), spots, others, scale, shift))


def _hose(rng: np.random.Generator, cover: str, scale: float, crossing: bool) -> Hose:
    """A smooth course through the whole picture and beyond, long enough for the second photo."""
    reach = np.linspace(-0.8 * WIDTH, 1.8 * WIDTH, 3000)
    bow = rng.uniform(0.02, 0.07) * WIDTH * np.sin(reach / rng.uniform(300, 520) + rng.uniform(0, 6))
    turn = np.deg2rad(rng.uniform(45, 80) if crossing else rng.uniform(-12, 12))
    x, y = reach - WIDTH / 2, bow + (0 if crossing else rng.uniform(-0.15, 0.15) * HEIGHT)
    line = np.stack([np.cos(turn) * x - np.sin(turn) * y, np.sin(turn) * x + np.cos(turn) * y], 1)
    diameter = float(rng.uniform(max(6.0, 30 / scale), 25.0))
    light = float(rng.uniform(-0.9, 0.9))
    return Hose(
        line + [WIDTH / 2, HEIGHT / 2], diameter, diameter * scale / 2, cover, light, int(rng.integers(1e9))
    )


def _inside(hose: Hose, margin: float) -> Array:
    """Indices of the centre line that lie in the first photo by a margin in px."""
    x, y = hose.centre_line_px.T
    return np.flatnonzero((x > margin) & (x < WIDTH - margin) & (y > margin) & (y < HEIGHT - margin))


def outline(hose: Hose, at: float, angle: float, length_mm: float, around_mm: float, scale: float) -> Array:
    """An ellipse on the cover as pixels (48, 2); places behind the limb are laid on it."""
    turn = np.linspace(0, 2 * np.pi, 48, endpoint=False)
    along = at + length_mm / 2 * scale * np.cos(turn)
    around = np.clip(angle + around_mm / hose.diameter_mm * np.sin(turn), -np.pi / 2, np.pi / 2)
    place = np.stack([np.interp(along, hose.along_px, c) for c in hose.centre_line_px.T], 1)
    normal = np.stack([np.interp(along, hose.along_px, c) for c in hose.normals.T], 1)
    return place + normal * (hose.radius_px * np.sin(around))[:, None]


def _spots(rng: np.random.Generator, hoses: list[Hose], scale: float) -> list[Spot]:
    """One to four spots, apart from each other, at least 12 px long, all within the photo."""
    spots: list[Spot] = []
    for _ in range(int(rng.integers(1, 5))):
        index = int(rng.integers(len(hoses)))
        hose = hoses[index]
        size = float(rng.uniform(max(4.0, 12 / scale), 20.0))
        where = _inside(hose, 60 + size * scale)
        if not len(where):
            continue
        at = float(hose.along_px[rng.choice(where)])
        if any(s.hose == index and abs(s.along_px - at) < 30 * scale for s in spots):
            continue
        place = hose.centre_line_px[np.searchsorted(hose.along_px, at)]
        others = [one for one in hoses if one is not hose]
        # Nothing may lie hidden under a crossing hose or what is fixed to it.
        if any(
            np.hypot(*(one.centre_line_px - place).T).min() < 3 * one.radius_px + size * scale
            for one in others
        ):
            continue
        around = min(size * float(rng.uniform(0.45, 0.9)), 0.9 * hose.diameter_mm)
        angle = float(rng.uniform(-0.8, 0.8))
        ends = np.array([angle - around / hose.diameter_mm, angle + around / hose.diameter_mm])
        seen = float(np.diff(np.clip(ends, -np.pi / 2, np.pi / 2))[0] / np.diff(ends)[0])
        shape = outline(hose, at, angle, size, around, scale)
        spots.append(Spot(shape, at, angle, size, around, size * scale, int(rng.integers(1, 4)), index, seen))
    return spots


def _distractors(
    rng: np.random.Generator, hoses: list[Hose], spots: tuple[Spot, ...], scale: float
) -> list[Distractor]:
    """Clamps, tape, labels and drops on the first hose, none over a spot."""
    found = []
    hose = hoses[0]
    for kind in rng.choice(
        ["clamp", "tape", "label", "drop", "fluid"], int(rng.integers(1, 4)), replace=False
    ):
        length = {"clamp": 12, "tape": 20, "label": 18, "drop": 4, "fluid": 25}[str(kind)]
        at = float(hose.along_px[rng.choice(_inside(hose, 80))])
        if any(s.hose == 0 and abs(s.along_px - at) < (length + s.size_mm + 6) / 2 * scale for s in spots):
            continue
        wide = hose.diameter_mm * (1.6 if kind in ("clamp", "tape") else 0.6)
        if kind in ("clamp", "tape"):
            ends = np.interp(
                at + np.array([-0.5, 0.5]) * length * scale, hose.along_px, np.arange(len(hose.along_px))
            )
            rows = np.linspace(*ends, 12).astype(int)
            rim = hose.radius_px * 1.08 * hose.normals[rows]
            shape = np.concatenate([hose.centre_line_px[rows] + rim, (hose.centre_line_px[rows] - rim)[::-1]])
        else:
            shape = outline(hose, at, float(rng.uniform(-0.5, 0.5)), length, wide, scale)
        found.append(Distractor(str(kind), shape, 0))
    return found


def _background(rng: np.random.Generator) -> Array:
    """Linear light of a grey-painted or rough surface, wide enough for the moved camera (h, 2w, 3)."""
    name = str(rng.choice(["brick", "gravel", "grass"]))
    grey = cv2.resize(getattr(data, name)(), (2 * WIDTH, 2 * WIDTH))[:HEIGHT].astype(np.float32) / 255
    grey = 0.04 + float(rng.uniform(0.15, 0.5)) * grey**2.2
    return grey[:, :, None] * rng.uniform(0.85, 1.15, 3).astype(np.float32)


def _photo(
    seed: int, back: Array, hoses: list[Hose], spots: tuple[Spot, ...], others: tuple[Distractor, ...],
    scale: float, shift_mm: float, slide: float,
) -> bytes:  # fmt: skip
    """One photo: the scene moved by the camera's way, lit, softened, made noisy and coded."""
    way = shift_mm * scale * hoses[0].heading
    move = np.float32([[1, 0, -way[0]], [0, 1, -way[1]]])
    light = cv2.warpAffine(back, move, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REFLECT)
    for index, hose in enumerate(hoses):
        mine = [spot for spot in spots if spot.hose == index]
        light = lit(light, hose, mine, -way, scale, shift_mm * slide)
    for other in others:
        light = _laid(light, other, -way, np.random.default_rng([seed, len(other.kind)]))
    rng = np.random.default_rng([seed, round(10 * shift_mm), 7])
    light = cv2.GaussianBlur(light.astype(np.float32), (0, 0), float(rng.uniform(0.6, 1.1)))
    light = light + rng.normal(size=light.shape) * rng.uniform(0.004, 0.012) * np.sqrt(
        0.1 + np.clip(light, 0, 1)
    )
    picture = np.round(255 * srgb(np.clip(1.3 * light, 0, 1))).astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(82, 96))]
    return cv2.imencode(".jpg", np.ascontiguousarray(picture[:, :, ::-1]), quality)[1].tobytes()


def _laid(light: Array, other: Distractor, by: Array, rng: np.random.Generator) -> Array:
    """A clamp, tape, label or fluid over the hose, soft at its edge."""
    cover = np.zeros(light.shape[:2], np.float32)
    cv2.fillPoly(cover, [np.round(other.outline_px + by).astype(np.int32)], 1.0)
    cover = cv2.GaussianBlur(cover, (0, 0), 1.0)[:, :, None]
    shade = light.max(axis=2, keepdims=True) ** 0.5
    if other.kind in ("drop", "fluid"):
        return light * (1 - cover * 0.45) + cover * 0.25 * np.clip(shade - 0.35, 0, 1)
    tint = {"clamp": (0.5, 0.5, 0.52), "tape": (0.55, 0.45, 0.1), "label": (0.7, 0.7, 0.68)}[other.kind]
    return light * (1 - cover) + cover * np.array(tint) * (0.35 + shade) * rng.uniform(0.8, 1.1)
