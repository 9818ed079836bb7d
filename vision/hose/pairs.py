"""Where two parallel edges lie a hose's width apart, for each direction on its own.

Steps averaged with their sign along a short line keep an edge and lose texture, and kept apart by
direction two crossing hoses pass through each other.  Not compared with a ridge filter.
"""

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

DIRECTIONS = 16
_HALF_LINE = 8.0  # px
_QUIET = 1.2  # grey levels a px: steps below it are noise
_CAP = 2.0
_WIDER = 0.85
_WITHIN = (3, 3)  # px


@dataclass(frozen=True, eq=False)
class Pairs:
    """How well each place is the middle between two edges.

    Attributes
    ----------
    score : (D, H, W) uint8 array
        For courses along angle ``pi * d / D`` (x right, y down): 100 is a firm pair.
    which : (D, H, W) uint8 array
        Index of the width that answers best.
    widths : (K,) array
        px.
    """

    score: NDArray[np.uint8]
    which: NDArray[np.uint8]
    widths: NDArray[np.float64]


def edge_pairs(picture: NDArray[np.uint8], widths: NDArray[np.float64]) -> Pairs:
    """Return the pairs of a picture (H, W, 3), RGB."""
    light = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY).astype(np.float32)
    gx = cv2.Sobel(light, cv2.CV_32F, 1, 0, scale=1 / 8, borderType=cv2.BORDER_REPLICATE)
    gy = cv2.Sobel(light, cv2.CV_32F, 0, 1, scale=1 / 8, borderType=cv2.BORDER_REPLICATE)
    box = (int(2 * _HALF_LINE) + 1,) * 2
    level = cv2.sqrt(cv2.blur(gx * gx + gy * gy, box)) + _QUIET
    height, width = light.shape
    score = np.zeros((DIRECTIONS, height, width), np.uint8)
    which = np.zeros_like(score)
    for index in range(DIRECTIONS):
        angle = np.pi * index / DIRECTIONS
        along = np.array([np.cos(angle), np.sin(angle)])
        across = np.array([-along[1], along[0]])
        step = cv2.filter2D(
            across[0] * gx + across[1] * gy, -1, _line(along), borderType=cv2.BORDER_REPLICATE
        )
        edge = np.minimum(np.abs(step) / level, _CAP)
        # A hose is much the same all along: what changes along between the edges is background.
        change = cv2.blur(np.abs(along[0] * gx + along[1] * gy), _WITHIN) / level
        calm = np.clip(1.5 - 1.7 * change, 0.1, 1.0)
        best = np.zeros_like(edge)
        for k, wide in enumerate(widths):
            dx, dy = (round(float(v * wide / 2)) for v in across)
            pair = _shared(edge, dx, dy)
            # The wider of two about as good: the narrower is the streak on the hose.
            better = pair > _WIDER * best
            best[better] = pair[better]
            which[index][better] = k
        score[index] = np.minimum(best * calm * 100, 255).astype(np.uint8)
    return Pairs(score, which, widths)


def _shared(edge: NDArray[np.float32], dx: int, dy: int) -> NDArray[np.float32]:
    """The weaker of the two edges at (x ± dx, y ± dy); 0 where one lies outside."""
    height, width = edge.shape
    out = np.zeros_like(edge)
    ax, ay = abs(dx), abs(dy)
    if 2 * ax >= width or 2 * ay >= height:
        return out
    rows, columns = slice(ay, height - ay), slice(ax, width - ax)

    def moved(sx: int, sy: int) -> NDArray[np.float32]:
        return edge[ay + sy : height - ay + sy, ax + sx : width - ax + sx]

    np.minimum(moved(dx, dy), moved(-dx, -dy), out=out[rows, columns])
    return out


def _line(along: NDArray[np.float64]) -> NDArray[np.float32]:
    reach = int(_HALF_LINE)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1].astype(np.float64)
    on = x * along[0] + y * along[1]
    off = -x * along[1] + y * along[0]
    kernel = np.exp(-0.5 * (on / (0.5 * reach)) ** 2 - 0.5 * (off / 0.9) ** 2)
    return np.asarray(kernel / kernel.sum(), np.float32)
