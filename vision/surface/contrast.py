"""How much a place stands out from what lies on both of its sides, in sizes from small to large.

The border of a shadow is bright on one side and dark on the other: it lies between its neighbours and stands
out from neither pair.  A mark stands out from both of its sides in every direction, a narrow one in every
direction but its own; so three of four directions are asked for.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.surface.looked import BLUE, LIGHT, RED, TEXTURE, Picture

Kind = TypeVar("Kind", np.float32, np.bool_)
SIGNALS = ("brighter", "darker", "smoother", "rougher", "colour")
_SIGMAS = (1.4, 2.0)  # px of a level
_AWAY = 2.5  # sigmas to the neighbours on either side
_WAYS = ((1, 0), (0.7071, 0.7071), (0, 1), (-0.7071, 0.7071))
_SIDES_DIFFER = 0.5
_LEAST_KNOWN = 0.35
_LEAST_SPREAD = (0.004, 0.004, 0.02, 0.02, 0.004)  # ln units: what eight bits and JPEG leave
_LEAST_LEVEL_PX = 24


@dataclass(frozen=True, eq=False)
class Scale:
    """One size at which a region is looked at.

    Attributes
    ----------
    step : int
        Worked px a pixel of this level.
    sigma : float
        Of the place, worked px.
    contrast, excess : (5, h, w) float32 arrays
        For each of `SIGNALS`: in ln units, and in robust sigmas of the same surface at the same size.
    """

    step: int
    sigma: float
    contrast: Picture
    excess: Picture


def scales(own: Picture, known: NDArray[np.bool_], most: float) -> Iterator[Scale]:
    """Yield the sizes, the smallest first.

    Parameters
    ----------
    own : (H, W, 4) float32 array
        Maps less what is the surface's own, 0 where nothing is known.
    most : float
        Largest sigma, worked px.
    """
    step = 1
    weight = known.astype(np.float32)
    maps = own
    while True:
        rows, columns = weight.shape[0] // 2, weight.shape[1] // 2
        if min(rows, columns) < _LEAST_LEVEL_PX:
            return
        step *= 2
        maps, weight = (
            np.asarray(
                cv2.resize(one[: 2 * rows, : 2 * columns], (columns, rows), interpolation=cv2.INTER_AREA),
                np.float32,
            )
            for one in (maps, weight)
        )
        for sigma in _SIGMAS:
            if sigma * step > most:
                return
            contrast, there = _contrast(maps, weight, sigma)
            yield Scale(step, sigma * step, contrast, _excess(contrast, there))


def _contrast(maps: Picture, weight: Picture, sigma: float) -> tuple[Picture, NDArray[np.bool_]]:
    total = cv2.GaussianBlur(weight, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT)
    mean = cv2.GaussianBlur(maps, (0, 0), sigma, borderType=cv2.BORDER_CONSTANT)
    mean = np.asarray(mean / np.maximum(total, 1e-3)[..., None], np.float32)
    there = total > _LEAST_KNOWN
    lost = np.zeros(weight.shape, bool)
    layers = [np.array(mean[..., k], np.float32) for k in (LIGHT, TEXTURE, RED, BLUE)]
    ways = []
    for way in _WAYS:
        dx, dy = (round(_AWAY * sigma * part) for part in way)
        its, theirs = _moved(there, dx, dy), _moved(there, -dx, -dy)
        light, texture, red, blue = (_both(layer, dx, dy, its, theirs) for layer in layers)
        colour = [cv2.sqrt(r * r + b * b) for r, b in zip(red, blue, strict=True)]
        high, low = np.maximum(*light), np.minimum(*light)
        rough, smooth = np.maximum(*texture), np.minimum(*texture)
        ways.append(
            (
                _both_ways(low, high), _both_ways(-high, -low),
                _both_ways(-rough, -smooth), _both_ways(smooth, rough),
                cv2.min(*colour),
            )
        )  # fmt: skip
        lost |= ~(its | theirs)
    contrast = np.stack([_second_smallest(*every) for every in zip(*ways, strict=True)])
    contrast[:, lost | ~there] = 0
    return contrast, there


def _both(
    layer: Picture, dx: int, dy: int, its: NDArray[np.bool_], theirs: NDArray[np.bool_]
) -> tuple[Picture, Picture]:
    """Return a layer less each of its two neighbours; where one is beyond the border, the other for both."""
    one, two = _moved(layer, dx, dy), _moved(layer, -dx, -dy)
    return layer - np.where(its, one, two), layer - np.where(theirs, two, one)


def _both_ways(least: Picture, most: Picture) -> Picture:
    """What stands out from both sides, less half of what the sides differ by."""
    return np.asarray((1 + _SIDES_DIFFER) * least - _SIDES_DIFFER * most, np.float32)


def _second_smallest(a: Picture, b: Picture, c: Picture, d: Picture) -> Picture:
    """Of four at each place: three of them are at least as large."""
    low, high = cv2.min(a, b), cv2.max(a, b)
    return np.asarray(cv2.min(cv2.max(low, cv2.min(c, d)), cv2.min(high, cv2.max(c, d))), np.float32)


def _excess(contrast: Picture, there: NDArray[np.bool_]) -> Picture:
    out = np.zeros_like(contrast)
    for k, one in enumerate(contrast):
        some = one[there][::3]
        if some.size < 50:
            continue
        middle = float(np.median(some))
        spread = 1.4826 * float(np.median(np.abs(some - middle)))
        out[k] = (one - middle) / max(spread, _LEAST_SPREAD[k])
    out[:, ~there] = 0
    return out


def _moved(picture: NDArray[Kind], dx: int, dy: int) -> NDArray[Kind]:
    """What lies dx columns and dy rows further on; zeros beyond the border."""
    out = np.zeros_like(picture)
    rows, columns = picture.shape[:2]
    if abs(dx) >= columns or abs(dy) >= rows:
        return out
    to = slice(max(-dy, 0), rows - max(dy, 0)), slice(max(-dx, 0), columns - max(dx, 0))
    of = slice(max(dy, 0), rows - max(-dy, 0)), slice(max(dx, 0), columns - max(-dx, 0))
    out[to] = picture[of]
    return out
