"""Composited photos of hoses with known wear: shaded ribbons on the textures that scikit-image carries.

The fast tier of the hose search. A hose is a cylinder seen square-on: a pixel at the signed offset v·R from
the centre line has the surface angle asin(v). Lights are far away, so a streak keeps its angle along the
hose; what the cover mirrors of near surroundings slides along it when the camera moves.
Pixels have their centres at integers (x right, y down); lengths along and across are mm.
"""

from dataclasses import dataclass, replace
from functools import partial

import cv2
import numpy as np
from skimage import data

from tests.scenes.develop import srgb
from tests.scenes.hose_light import Array, Hose, Spot, lit
from tests.scenes.hose_things import (
    FLUID,
    Distractor,
    laid,
    laid_over,
    metal_and_sun,
    outline,
    sun_streak,
    sunlit,
    with_metal,
)

WIDTH, HEIGHT = 1600, 1200
COVERS = ("rubber", "textile", "metal_braid")
SLIDE = (0.5, 0.8)  # mm a reflection slides for each mm that the camera moves along the hose


@dataclass(frozen=True)
class HoseTruth:
    """What is on the first photo; `shift_mm` is the camera's way along the first hose, None without a pair."""

    hoses: tuple[Hose, ...]
    spots: tuple[Spot, ...]
    distractors: tuple[Distractor, ...]
    px_per_mm: float
    shift_mm: float | None

    @property
    def moved_px(self) -> tuple[float, float]:
        """By how much everything lies elsewhere in the second photo."""
        dx, dy = -(self.shift_mm or 0.0) * self.px_per_mm * self.hoses[0].heading
        return float(dx), float(dy)


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
        pair from one place, moved at most 4 mm), "clean" (no wear, distractors stay) or "plain" (fair, without
        fittings, metal clamps and sun).

    Raises
    ------
    ValueError
        If the kind is none of these.
    """
    if kind not in ("fair", "pair", "still", "clean", "plain"):
        msg = f"kind {kind!r} is unknown; use fair, pair, still, clean or plain"
        raise ValueError(msg)
    rng = np.random.default_rng([606, seed])
    scale = float(rng.uniform(1.8, 5.0))
    cover = COVERS[seed % 3]
    slide = float(rng.uniform(*SLIDE))
    hoses = [_hose(rng, cover, scale, crossing=False)]
    if rng.random() < 0.3:
        hoses.append(_hose(rng, COVERS[int(rng.integers(3))], scale, crossing=True))
    spots = () if kind == "clean" else tuple(_spots(rng, hoses, scale))
    others = laid_over(rng, hoses[0], _inside(hoses[0], 80), spots, scale)
    shift = {"pair": float(rng.uniform(100, 160)), "still": float(rng.uniform(0, 4))}.get(kind)
    back = _background(rng)
    # Drawn last and from seeds of their own: hose, spots and what lies over them stay as they were.
    if kind != "plain":
        others = _with_metal_and_sun(np.random.default_rng([707, seed]), hoses, spots, others, scale)
    first = _photo(seed, back, hoses, spots, others, scale, 0.0, slide)
    second = None if shift is None else _photo(seed, back, hoses, spots, others, scale, shift, slide)
    return HoseCase(first, second, HoseTruth(tuple(hoses), spots, tuple(others), scale, shift))


def _with_metal_and_sun(
    rng: np.random.Generator,
    hoses: list[Hose],
    spots: tuple[Spot, ...],
    others: list[Distractor],
    scale: float,
) -> list[Distractor]:
    """Add metal and sun to the first hose, which a fitting ends: beyond it there is no cover and nothing on it."""
    hose = hoses[0]
    more = metal_and_sun(rng, hose, _inside(hose, 80), spots, scale)
    for one in more:
        if one.kind == "fitting":
            end, way = one.drawn["end"], one.drawn["way"]
            hoses[0] = replace(hose, cover_px=(end, np.inf) if way < 0 else (-np.inf, end))
            others = [other for other in others if _on_cover(hoses[0], other)]
            more = [o for o in more if o.kind in ("fitting", "sun") or _on_cover(hoses[0], o)]
    return [*others, *more]


def _on_cover(hose: Hose, other: Distractor) -> bool:
    """Whether a thing lies on what a fitting leaves of a hose, and not under the fitting."""
    middle = other.outline_px.mean(axis=0)
    at = hose.along_px[np.argmin(np.hypot(*(hose.centre_line_px - middle).T))]
    room = np.ptp(other.outline_px @ hose.heading) / 2
    return bool(hose.cover_px[0] + room < at < hose.cover_px[1] - room)


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


def _background(rng: np.random.Generator) -> Array:
    """Linear light of a grey-painted or rough surface, wide enough for the moved camera (h, 2w, 3)."""
    name = str(rng.choice(["brick", "gravel", "grass"]))
    grey = cv2.resize(getattr(data, name)(), (2 * WIDTH, 2 * WIDTH))[:HEIGHT].astype(np.float32) / 255
    grey = 0.04 + float(rng.uniform(0.15, 0.5)) * grey**2.2
    return grey[:, :, None] * rng.uniform(0.85, 1.15, 3).astype(np.float32)


def _photo(
    seed: int, back: Array, hoses: list[Hose], spots: tuple[Spot, ...], others: list[Distractor],
    scale: float, shift_mm: float, slide: float,
) -> bytes:  # fmt: skip
    """One photo: the scene moved by the camera's way, lit, softened, made noisy and coded."""
    way = shift_mm * scale * hoses[0].heading
    move = np.float32([[1, 0, -way[0]], [0, 1, -way[1]]])
    light = cv2.warpAffine(back, move, (WIDTH, HEIGHT), borderMode=cv2.BORDER_REFLECT)
    streaks = [other for other in others if other.kind == "streak"]
    for index, hose in enumerate(hoses):
        mine = [spot for spot in spots if spot.hose == index]
        sun = [partial(sun_streak, hose=hose, other=one) for one in streaks if one.hose == index]
        light = lit(light, hose, mine, -way, scale, shift_mm * slide, sun)
    for other in others:
        if other.kind in FLUID or not other.drawn:
            light = laid(light, other, -way, np.random.default_rng([seed, len(other.kind)]))
        elif other.kind in ("clamp", "fitting"):
            light = with_metal(light, other, hoses[0], -way)
    for other in others:
        if other.kind == "sun":
            light = sunlit(light, other, hoses[0], -way)
    rng = np.random.default_rng([seed, round(10 * shift_mm), 7])
    light = cv2.GaussianBlur(light.astype(np.float32), (0, 0), float(rng.uniform(0.6, 1.1)))
    light = light + rng.normal(size=light.shape) * rng.uniform(0.004, 0.012) * np.sqrt(
        0.1 + np.clip(light, 0, 1)
    )
    picture = np.round(255 * srgb(np.clip(1.3 * light, 0, 1))).astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(82, 96))]
    return cv2.imencode(".jpg", np.ascontiguousarray(picture[:, :, ::-1]), quality)[1].tobytes()
