"""What goes right across a hose: clamps, tape, end fittings, and bars of sun or shade.

Each begins and ends along a straight line on which most of the hose's face changes at once. Wear has
round or ragged ends, and light that is mirrored comes and goes slowly along the hose.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.hose.course import Array, Picture, robust_line

_SLANTS = (-0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75)  # columns a row
_PARALLEL = 0.35  # columns a row
_STEP_OVER = 0.22  # hose widths
_CHANGES = 0.2  # quantile of the rows: all but this share change
_STEP = 0.16  # ln units
_TEXTURE = 0.3  # of a ln unit of fine contrast, beside one of light
_MOST_EDGES = 24
_LEAST, _MOST = 0.2, 11.0  # hose widths
_BESIDE = 1.5  # hose widths
_UNLIKE = 0.2  # ln units
_LIKE = 0.55  # of it, what lies beside may be unlike itself
_BULGE = 0.18  # hose widths that both ends of wear bend outward
_SAME = 0.4  # of its mean, the spread over the rows of what sun adds
_SUN = 0.25  # ln units
_OUTSIDE_TOO = 0.35  # of it
_AT_END = 0.6  # hose widths
_COLOUR = 0.3  # ln units


@dataclass(frozen=True)
class Band:
    """A stretch that something goes right across.

    Attributes
    ----------
    kind : str
        ``"clamp"``, ``"fitting"``, ``"tape"``, ``"sun"`` or ``"shade"``.
    first, last : int
        Columns at the middle row.
    slants : (float, float)
        Columns by which each end lies further on, for each row.
    """

    kind: str
    first: int
    last: int
    slants: tuple[float, float]

    @property
    def hides(self) -> bool:
        """Whether it covers the hose: in sun or shade wear is seen, too."""
        return self.kind not in ("sun", "shade")

    def mask(self, shape: tuple[int, int], grown: int = 0) -> NDArray[np.bool_]:
        """Where it lies on a ribbon, `grown` columns longer at both ends."""
        rows, columns = shape
        off = (np.arange(rows) - (rows - 1) / 2)[:, None]
        column = np.arange(columns)[None]
        after = column - self.slants[0] * off >= self.first - grown
        return np.asarray(after & (column - self.slants[1] * off < self.last + grown), bool)

    def rims(self, shape: tuple[int, int], wide: int) -> NDArray[np.bool_]:
        """Its two ends, `wide` columns to either side."""
        return self.mask(shape, wide) & ~self.mask(shape, -wide)


def find_bands(
    light: Picture, texture: Picture, colour: Picture, outside: Picture, width: float
) -> list[Band]:
    """Return the stretches that something goes right across, none over another.

    Parameters
    ----------
    light, texture : (R, C) float32 arrays
        ln light, ln of the fine contrast.
    colour : (R, C, 2) float32 array
        ln of red and blue over green.
    outside : (2, C) float32 array
        ln light a little beyond the two sides.
    width : float
        Rows that the hose's whole width takes.
    """
    columns = light.shape[1]
    if columns < 2 * width:
        return []
    over = max(4, round(_STEP_OVER * width))
    even = np.asarray(cv2.blur(light, (1, max(3, round(0.08 * width) | 1))), np.float32)
    usual = np.median(even, axis=1)
    edges = _edges(even, texture, over)
    ends = sorted(
        [(at, slant) for _, at, slant in edges] + [(0, np.nan), (columns, np.nan)], key=lambda edge: edge[0]
    )
    tries: list[tuple[int, int, tuple[float, float]]] = []
    for k, (first, one) in enumerate(ends):
        for last, other in ends[k + 1 :]:
            if np.isnan(one) and np.isnan(other):
                continue
            slants = (other if np.isnan(one) else one, one if np.isnan(other) else other)
            if abs(slants[0] - slants[1]) > _PARALLEL:
                continue
            if _LEAST * width <= last - first <= min(_MOST * width, 0.5 * columns):
                tries.append((first, last, slants))
    tries.sort(key=lambda span: span[0] - span[1])
    found: list[Band] = []
    for first, last, slants in tries:
        if any(first < band.last and band.first < last for band in found):
            continue
        slant = float(np.mean(slants))
        at_end = first < _AT_END * width or last > columns - _AT_END * width
        # Only as far as is asked about, and further by what lies off in a slanted row or is evened in.
        room = int(_BESIDE * width + abs(slant) * len(light)) + 2 * over
        begin, end = max(first - room, 0), last + room
        near = [one[:, begin:end] for one in (even, texture, colour, outside)]
        kind = _kind(
            near[0],
            near[1],
            near[2],
            near[3],
            usual,
            (first - begin, last - begin, slant),
            width,
            over,
            at_end,
        )
        if kind is not None:
            found.append(Band(kind, first, last, slants))
    return found


def _edges(even: Picture, texture: Picture, over: int) -> list[tuple[float, int, float]]:
    """Return how strong, at which column and how slanted the straight changes are, the strongest first."""
    found: list[tuple[float, int, float]] = []
    rows, columns = even.shape
    share = int(_CHANGES * rows)
    room = over + int(max(_SLANTS) * rows)
    light, fine = (np.pad(one, ((0, 0), (room, room)), "edge") for one in (even, texture))
    change = np.hypot(_step(light, over), _TEXTURE * _step(fine, over))
    for slant in _SLANTS:
        slanted = _sheared(change, slant)[:, room : room + columns]
        # At the ends nothing is known of what lies beyond.
        slanted[:, :over] = slanted[:, columns - over + 1 :] = 0
        # In one width of number: what was rounded would not be its own maximum.
        most = np.partition(slanted, share, axis=0)[share].astype(np.float32)
        top = cv2.dilate(most[None], np.ones((1, 2 * over + 1)))[0]
        (peaks,) = np.nonzero((most >= top) & (most > _STEP))
        found += [(float(most[at]), int(at), slant) for at in peaks]
    found.sort(key=lambda edge: -edge[0])
    kept: list[tuple[float, int, float]] = []
    for edge in found:
        if all(abs(edge[1] - other[1]) > over for other in kept):
            kept.append(edge)
    return [_straightened(even, edge, over) for edge in kept[:_MOST_EDGES]]


def _straightened(even: Picture, edge: tuple[float, int, float], over: int) -> tuple[float, int, float]:
    """The edge on the line through where each row changes most."""
    strength, at, slant = edge
    rows, columns = even.shape
    off = np.arange(rows) - (rows - 1) / 2
    for _ in range(2):
        around = np.rint(at + slant * off[:, None] + np.arange(-over, over + 1)[None]).astype(int)
        around = np.clip(around, 2, columns - 3)
        here = np.arange(rows)[:, None]
        step = np.abs(
            even[here, around + 1] + even[here, around + 2] - even[here, around - 1] - even[here, around - 2]
        )
        best = step.argmax(axis=1)
        clear = step.max(axis=1) > 0.5 * np.median(step.max(axis=1))
        where = around[np.arange(rows), best].astype(float)
        if clear.sum() < rows // 2:
            break
        turn, middle = robust_line(off[clear], where[clear])
        if abs(turn - slant) > 0.6 or abs(middle - at) > over:
            break
        at, slant = round(middle), turn
    return strength, at, slant


def _sheared(picture: NDArray[Any], slant: float) -> NDArray[Any]:
    """The rows shifted so that a line of this slant stands upright, their ends repeated."""
    rows, columns = picture.shape[:2]
    shift = np.round(slant * (np.arange(rows) - (rows - 1) / 2)).astype(int)
    room = int(np.abs(shift).max())
    longer = cv2.copyMakeBorder(picture, 0, 0, room, room, cv2.BORDER_REPLICATE)
    return np.stack([row[at : at + columns] for row, at in zip(longer, (shift + room).tolist(), strict=True)])


def _step(picture: Picture, over: int) -> Array:
    """Mean of `over` columns from each on less that of as many before; 0 at the ends."""
    total = np.zeros((picture.shape[0], picture.shape[1] + 1))
    np.cumsum(picture, axis=1, dtype=np.float64, out=total[:, 1:])
    mean = (total[:, over:] - total[:, :-over]) / over
    step = np.zeros(picture.shape)
    np.subtract(mean[:, over:], mean[:, :-over], out=step[:, over : picture.shape[1] - over + 1])
    return step


def _kind(
    even: Picture, texture: Picture, colour: Picture, outside: Picture, usual: Picture,
    span: tuple[int, int, float], width: float, over: int, at_end: bool,
) -> str | None:  # fmt: skip
    """What lies between two ends; None where it is the hose itself or only a part of its face changes.

    `usual` (R,) is what the whole hose's light is in each row.
    """
    first, last, slant = span
    columns = even.shape[1]
    away = min(over // 2, (last - first) // 4)
    inner = slice(first + away, last - away)
    reach = int(_BESIDE * width)
    sides = [slice(max(first - reach, 0), max(first - away, 0)), slice(last + away, last + reach)]
    sides = [one for one in sides if len(range(*one.indices(columns))) >= over]
    if not sides:
        return None
    light, fine, tint = (_sheared(one, slant) for one in (even, texture, colour))
    beside = [np.median(light[:, one], axis=1) for one in sides]
    outer = np.mean(beside, axis=0)
    fine_outer = np.median(np.concatenate([fine[:, one] for one in sides], axis=1), axis=1)
    calm = cv2.blur(light, (over | 1, 1))
    unlike = np.hypot(
        np.abs(calm - outer[:, None]), _TEXTURE * (cv2.blur(fine, (over | 1, 1)) - fine_outer[:, None])
    ).mean(axis=0)
    inside = float(np.quantile(unlike[inner], 0.2))
    beyond = max(float(np.median(unlike[one])) for one in sides)
    # What lies beside has to be the hose, or the hose between a clamp and a bar of sun were the thing.
    beyond = max(beyond, *(float(np.abs(one - usual).mean()) for one in beside))
    if inside < _UNLIKE or beyond > _LIKE * inside:
        return None
    rise = np.median(light[:, inner], axis=1) - outer
    if not at_end and _bulges(light, outer, span, width):
        return None
    hue = float(
        np.linalg.norm(
            np.median(tint[:, inner], axis=(0, 1))
            - np.median(np.concatenate([tint[:, one] for one in sides], axis=1), axis=(0, 1))
        )
    )
    if hue > _COLOUR:
        return "tape"
    mean = float(np.mean(rise))
    if abs(mean) > _SUN and float(np.std(rise)) < _SAME * abs(mean):
        ground = [
            np.median(side[inner]) - np.mean([np.median(side[one]) for one in sides]) for side in outside
        ]
        if np.min(np.array(ground) * np.sign(mean)) > _OUTSIDE_TOO * abs(mean):
            return "sun" if mean > 0 else "shade"
    return "fitting" if at_end else "clamp"


def _bulges(light: Picture, outer: Array, span: tuple[int, int, float], width: float) -> bool:
    """Whether both ends bend outward as those of a round place do, or its outer rows are the hose's own."""
    first, last, _ = span
    rows = len(light)
    part = np.abs(light[:, max(first - int(0.3 * width), 0) : last + int(0.3 * width)] - outer[:, None])
    third = slice(rows // 3, -(rows // 3))
    there = cv2.blur(part, (3, 3)) > 0.35 * np.quantile(part[third], 0.7)
    long = there.sum(axis=1).astype(float)
    edge = max(2, rows // 7)
    rim = max(float(np.median(long[:edge])), float(np.median(long[-edge:])))
    # A metal band is here as bright as the hose, there not: not each of the outer rows has to differ.
    least = min(float(np.quantile(long[:edge], 0.75)), float(np.quantile(long[-edge:], 0.75)))
    middle = float(np.median(long[third]))
    return middle - rim > 2 * _BULGE * width or least < 0.35 * (last - first)


def evened(light: Picture, bands: Sequence[Band], width: float) -> Picture:
    """Return ln light with what the bands add taken away row by row, so that they move no median."""
    out = light.copy()
    reach = int(_BESIDE * width)
    for band in bands:
        inside = band.mask(light.shape)
        about = band.mask(light.shape, reach) & ~band.mask(light.shape, max(2, int(0.1 * width)))
        (columns,) = np.nonzero((inside | about).any(axis=0))
        if not len(columns):
            continue
        some = slice(columns[0], columns[-1] + 1)
        mine, near = (_row_medians(light[:, some], one[:, some]) for one in (inside, about))
        more = np.nan_to_num(near - mine)[:, None]
        out[:, some] += np.where(inside[:, some], more, 0)
    return out


def _row_medians(picture: Picture, chosen: NDArray[np.bool_]) -> Picture:
    """The median of each row's chosen places (R,); nan where there is none."""
    count = chosen.sum(axis=1)
    rows = np.sort(np.where(chosen, picture, np.inf), axis=1)
    at = np.arange(len(rows))
    both = [rows[at, np.maximum(half, 0)] for half in ((count - 1) // 2, count // 2)]
    return np.where(count > 0, (both[0] + both[1]) / 2, np.nan).astype(np.float32)
