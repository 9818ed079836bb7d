"""The covers of traced hoses as maps over length and round: colour, roughness, metal and height, worn or sound.

Each map has rows along the hose and columns round it; the round's middle column faces the camera.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image, ImageDraw

from tests.scenes.physical.hose_scene import Array, HoseBody, Thing, Worn
from tests.scenes.physical.tire_paint import noise

DUST = np.array([0.17, 0.15, 0.12])
POWER = (0.45, 0.75, 1.0)  # how far a grade goes towards a cover worn through
# What is left of the roughness, by grade: rubbing polishes rubber and flattens wire.
POLISHED = {"rubber": (0.36, 0.27, 0.2), "textile": (0.8, 0.85, 0.9), "metal_braid": (0.2, 0.15, 0.12)}


@dataclass
class Cover:
    """Maps (rows, columns): `colour` has a third axis of 3, `height` is mm, the others are 0 to 1."""

    colour: Array
    rough: Array
    metal: float
    height: Array

    def wet(self, share: Array) -> None:
        """Lay a film of oil where `share` is 1: smooth, darker, the texture half filled."""
        self.rough = self.rough * (1 - share) + 0.07 * share
        self.colour = self.colour * (1 - 0.4 * share[..., None])
        self.height = self.height * (1 - 0.6 * share)


@dataclass(frozen=True, eq=False)
class Places:
    """Arc (rows, 1) mm and angle (1, columns) rad of a map's pixels."""

    along: Array
    angle: Array
    radius: float

    @property
    def round_mm(self) -> Array:
        """Length round, mm."""
        return self.angle * self.radius

    def ellipse(self, at: float, angle: float, long: float, wide: float) -> Array:
        """Distance from a middle in half axes, 1 on the outline."""
        return np.hypot((self.along - at) / (long / 2), (self.angle - angle) * self.radius / (wide / 2))


def places(hose: HoseBody, first: float, last: float, px_per_mm: float) -> Places:
    """The pixels of a map from `first` to `last` mm of the arc."""
    rows = max(8, round((last - first) * px_per_mm))
    columns = max(8, round(np.pi * hose.diameter_mm * px_per_mm))
    along = first + (np.arange(rows) + 0.5) / rows * (last - first)
    angle = -np.pi + (np.arange(columns) + 0.5) / columns * 2 * np.pi
    return Places(along[:, None], angle[None, :], hose.diameter_mm / 2)


def cover(hose: HoseBody, at: Places, worn: Sequence[Worn], fluid: Sequence[Thing]) -> Cover:
    """The hose's surface with everything that is no body of its own."""
    rng = np.random.default_rng([hose.seed, 71])
    made = {"rubber": _rubber, "textile": _textile, "metal_braid": _braid}[hose.cover](hose, at, rng)
    shape = made.height.shape
    grain = max(2.0, 0.35 * shape[1] / (2 * np.pi * at.radius))
    dust = np.clip(hose.dust * (0.4 + 0.5 * noise(shape, 40 * grain, rng) + 0.2 * noise(shape, 5 * grain, rng)), 0, 0.9)  # fmt: skip
    wear = [(one, _ragged(one, at, grain)) for one in worn]
    for _, share in wear:  # what rubs carries the dust away
        dust = dust * (1 - 0.9 * share)
    made.colour = made.colour * (1 - dust[..., None]) + DUST * dust[..., None]
    made.rough = made.rough * (1 - dust) + 0.9 * dust
    for one, share in wear:
        {"rubber": _wear_rubber, "textile": _wear_textile, "metal_braid": _wear_braid}[hose.cover](
            made, one, share, at
        )
    for drop in fluid:
        long = drop.last_mm - drop.first_mm
        away = at.ellipse((drop.first_mm + drop.last_mm) / 2, drop.angle_rad, long, 1.1 * at.radius)
        made.wet(np.clip((1.0 - away + 0.15 * noise(shape, 14 * grain, rng)) / 0.12, 0, 1))
    made.colour, made.rough = np.clip(made.colour, 0.004, 0.95), np.clip(made.rough, 0.05, 0.95)
    return made


def _ragged(one: Worn, at: Places, grain: float) -> Array:
    """1 where a place is worn, soft and uneven at its rim, 0 away from it."""
    rng = np.random.default_rng(one.seed)
    away = at.ellipse(one.at_mm, one.angle_rad, one.size_mm, one.around_mm)
    rows = np.flatnonzero((away < 1.6).any(axis=1))
    share = np.zeros(away.shape)
    if len(rows):
        part = slice(rows[0], rows[-1] + 1)
        uneven = 0.12 * noise(away[part].shape, 6 * grain, rng) + 0.05 * noise(away[part].shape, grain, rng)
        share[part] = np.clip((1.05 - away[part] + uneven) / 0.25, 0, 1)
    return share


def _rubber(hose: HoseBody, at: Places, rng: np.random.Generator) -> Cover:
    """Dark rubber with grain or the print of its wrapping, a moulded line, and often a printed one."""
    shape = (len(at.along), at.angle.shape[1])
    px = shape[1] / (2 * np.pi * at.radius)
    grey = rng.uniform(0.022, 0.045) * (
        1 + 0.07 * noise(shape, 0.5 * px, rng) + 0.05 * noise(shape, 12 * px, rng)
    )
    height = 0.010 * noise(shape, max(2.0, 0.35 * px), rng)
    if rng.random() < 0.5:
        height = height + 0.03 * _woven(at, rng.uniform(0.7, 1.1), np.radians(rng.uniform(40, 50)), 1)[0]
    off = np.abs(at.angle - hose.line_rad) * at.radius
    height = height + 0.22 * np.clip(1.2 - off / 0.45, 0, 1)
    made = Cover(
        grey[..., None] * np.array([1, 1, 1.03]), np.full(shape, rng.uniform(0.42, 0.6)), 0.0, height
    )
    if hose.print_rgb is not None:
        ink = _printed(at, hose.line_rad - 0.9, rng) * np.clip(0.9 + 0.3 * noise(shape, 2 * px, rng), 0, 1)
        made.colour = made.colour * (1 - ink[..., None]) + np.array(hose.print_rgb) * ink[..., None]
    return made


def _printed(at: Places, angle: float, rng: np.random.Generator) -> Array:
    """A line along with strokes like figures between its dashes."""
    off = (at.angle - angle) * at.radius
    dash, gap = rng.uniform(30, 80), rng.uniform(10, 30)
    place = at.along % (dash + gap)
    line = (np.abs(off) < 0.5) & (place < dash)
    strokes = np.sin(2.9 * at.along) + np.sin(1.7 * at.along + 2 * np.sign(off)) > 0.5
    return np.asarray(line | (strokes & (np.abs(off) < 1.3) & (place >= dash)), float)


def _woven(at: Places, pitch: float, slope: float, wires: int) -> tuple[Array, Array, Array]:
    """Height (0 to 1), and the two families' phases, of bands that run over and under each other."""
    # A whole number of bands goes round, so that the weave closes.
    count = max(4, round(2 * np.pi * at.radius * np.cos(slope) / pitch))
    across = at.angle / (2 * np.pi) * count
    lengthways = at.along * np.sin(slope) / pitch
    one, two = lengthways + across, lengthways - across
    over = (np.floor(one) + np.floor(two)) % 2 == 0
    top, under = np.where(over, one, two) % 1, np.where(over, two, one) % 1
    crown = np.sin(np.pi * under)
    bands = np.abs(np.sin(np.pi * wires * top)) if wires > 1 else 1.0
    high = np.sqrt(np.clip(np.sin(np.pi * top), 0, 1)) * (0.55 + 0.45 * crown) * (0.75 + 0.25 * bands)
    return np.asarray(high), one, two


def _textile(hose: HoseBody, at: Places, rng: np.random.Generator) -> Cover:
    """A braid of yarn, often with a thread of another colour in it."""
    high, one, _ = _woven(at, rng.uniform(1.2, 2.0), np.radians(rng.uniform(38, 52)), 1)
    px = high.shape[1] / (2 * np.pi * at.radius)
    dye = np.array(
        ((0.36, 0.31, 0.22), (0.06, 0.06, 0.065), (0.2, 0.22, 0.2), (0.28, 0.11, 0.06))[rng.integers(4)]
    )
    colour = dye * ((0.45 + 0.55 * high) * (1 + 0.12 * noise(high.shape, 0.5 * px, rng)))[..., None]
    if rng.random() < 0.5:
        colour = np.where((np.floor(one) % 8 == 0)[..., None], colour * np.array([1.5, 0.6, 0.5]), colour)
    return Cover(colour, np.full(high.shape, 0.8), 0.0, 0.22 * high)


def _braid(hose: HoseBody, at: Places, rng: np.random.Generator) -> Cover:
    """Bands of bright wires over and under each other, dark between them."""
    pitch = rng.uniform(2.2, 3.6)
    high, _, _ = _woven(at, pitch, np.radians(rng.uniform(35, 50)), int(rng.integers(4, 7)))
    px = high.shape[1] / (2 * np.pi * at.radius)
    grey = (
        rng.uniform(0.45, 0.65)
        * np.clip((high - 0.08) / 0.35, 0.04, 1)
        * (1 + 0.06 * noise(high.shape, 3 * px, rng))
    )
    return Cover(
        grey[..., None] * np.array([1, 0.985, 0.95]),
        np.full(high.shape, rng.uniform(0.24, 0.36)),
        1.0,
        0.3 * high,
    )


def _mix(made: Cover, share: Array, colour: Array, rough: float) -> None:
    made.colour = made.colour * (1 - share[..., None]) + colour * share[..., None]
    made.rough = made.rough * (1 - share) + rough * share


def _wear_rubber(made: Cover, one: Worn, share: Array, at: Places) -> None:
    """Polished and greyed, its texture gone; at grade 3 the fabric shows in the middle."""
    lighter = (1.15, 1.6, 2.3)[one.grade - 1]
    _mix(
        made,
        share,
        np.minimum(made.colour * lighter + 0.004 * one.grade, 0.4),
        POLISHED["rubber"][one.grade - 1],
    )
    made.height = made.height * (1 - 0.9 * share)
    if one.grade == 3:
        middle = np.clip(1.6 * (share - 0.2), 0, 1) * (at.ellipse(one.at_mm, one.angle_rad, one.size_mm, one.around_mm) < 0.55)  # fmt: skip
        fabric, _, _ = _woven(at, 0.9, np.radians(45), 1)
        _mix(made, middle * fabric, np.array([0.16, 0.14, 0.11]), 0.7)
        made.height = made.height + 0.08 * middle * fabric


def _wear_textile(made: Cover, one: Worn, share: Array, at: Places) -> None:
    """Fluffed: lighter, the weave lost in loose fibres; at grade 3 the dark liner shows between them."""
    power = POWER[one.grade - 1] * share
    fibres = _strokes(one, at, share.shape, 0.25, (60, 130, 200)[one.grade - 1]) * share
    pale = np.minimum(1.25 * made.colour.mean(axis=(0, 1)) + 0.07, 0.6)
    _mix(made, 0.6 * power, pale, POLISHED["textile"][one.grade - 1])
    made.height = made.height * (1 - 0.8 * power)
    if one.grade == 3:
        gone = np.clip(2 * share - 1, 0, 1) * (at.ellipse(one.at_mm, one.angle_rad, one.size_mm, one.around_mm) < 0.5)  # fmt: skip
        _mix(made, 0.8 * gone, np.array([0.02, 0.02, 0.02]), 0.5)
    _mix(made, 0.8 * fibres, np.minimum(pale * 1.5, 0.7), 0.85)
    made.height = made.height + 0.12 * fibres


def _wear_braid(made: Cover, one: Worn, share: Array, at: Places) -> None:
    """Wires ground flat and bright; from grade 2 on some broken, from grade 3 the dark core seen between."""
    flat = (0.5, 0.7, 0.85)[one.grade - 1]
    made.rough = made.rough * (1 - share) + POLISHED["metal_braid"][one.grade - 1] * share
    made.colour = made.colour * (1 + (0.15, 0.2, 0.2)[one.grade - 1] * share[..., None])
    made.height = made.height * (1 - flat * share)
    if one.grade == 1:
        return
    broken = _strokes(one, at, share.shape, 0.5, (14, 34)[one.grade - 2]) * share
    _mix(made, broken, np.array([0.05, 0.035, 0.025]), 0.5)
    made.height = made.height * (1 - broken)
    if one.grade == 3:
        gone = np.clip(2 * share - 1, 0, 1) * (at.ellipse(one.at_mm, one.angle_rad, one.size_mm, one.around_mm) < 0.45)  # fmt: skip
        _mix(made, 0.75 * gone, np.array([0.03, 0.025, 0.02]), 0.6)
        bright = _strokes(one, at, share.shape, 0.3, 12) * share
        _mix(made, bright, np.array([0.75, 0.73, 0.7]), 0.2)


def _strokes(one: Worn, at: Places, shape: tuple[int, ...], wide_mm: float, count: int) -> Array:
    """1 on short bent strokes, all over a worn place."""
    rng = np.random.default_rng([one.seed, count])
    px = shape[1] / (2 * np.pi * at.radius)
    step = float(at.along[1, 0] - at.along[0, 0])
    picture = Image.new("L", (shape[1], shape[0]))
    pen = ImageDraw.Draw(picture)
    for _ in range(count):
        r, turn, way = np.sqrt(rng.random()), rng.uniform(0, 2 * np.pi), rng.uniform(0, np.pi)
        length = rng.uniform(1.5, 4.0)
        bend = rng.normal() * 0.5
        t = np.linspace(-0.5, 0.5, 6) * length
        s = one.at_mm + r * np.cos(turn) * one.size_mm / 2 + t * np.cos(way + bend * t / length)
        c = r * np.sin(turn) * one.around_mm / 2 + t * np.sin(way + bend * t / length)
        column = ((c / at.radius + one.angle_rad) + np.pi) * at.radius * px
        pen.line(
            list(zip(column, (s - at.along[0, 0]) / step, strict=True)), 255, max(1, round(wide_mm * px))
        )
    return np.asarray(picture, float) / 255
