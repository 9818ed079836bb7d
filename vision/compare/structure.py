"""How far the present structure is explained by the earlier one, at each pixel and by each surface.

In a small window the present photo is fitted by the earlier one times a positive
number plus a number.  What is left over in either photo is structure that the other
lacks; a lamp that is stronger, weaker or elsewhere leaves nothing over, because its light is the
added number.  A few whole-pixel shifts are tried, so that a curved surface or a hand's
breadth of relief does not count as change.

Goes wrong at the edge of a hard cast shadow, which is structure to a photo: it is flagged, and a
person decides.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.compare.surfaces import Surface
from vision.compare.view import Mask, Plane, View, moved

WINDOW_PX = 9
REACH_PX = 2
"""So far the earlier photo may be shifted where a surface is not quite flat, px."""

_SMOOTH_PX = 21  # which surface a pixel belongs to is asked of its neighbourhood
_FLOOR = 0.045  # contrast that no person sees in a photo
_PER_GRADIENT = 0.45  # px: half a step of the shifts, and what is left of the blur
_WELL = 1.2
_PER_PX_AWAY = 0.01  # where all explain a place alike, because it is flat, the nearest points tell
_GAP_PX = 28
_UNSEEN = 20.0
_PATCH_PX = 76
_CLEARLY = 0.7
_FAR_SHARE = 0.13
_GRID_PX = 4
_STEP = 1.4
_MARGIN_PX = WINDOW_PX + _SMOOTH_PX // 2  # so far off may be what is held for the edge
_STEP_PX = 1.0  # surfaces that move differently by less hide nothing that is seen


@dataclass(frozen=True, eq=False)
class Explained:
    """At each pixel of the present photo.

    Attributes
    ----------
    excess : (h, w) float32 array
        Unexplained structure over what misregistration and noise may leave; 1 and more is a change.
    surface : (h, w) uint8 array
        Index of the surface that explains it best.
    compared : (h, w) bool array
        Where both photos can be compared at all.
    edges : (h, w) bool array
        Strips beside a nearer surface's edge: what is unexplained there may only have been hidden.
    alone : tuple of (h, w) bool arrays
        For each surface, where it explains the photo by itself.
    evidence : tuple of int
        For each surface, how many pixels it explains that none before it does.
    """

    excess: Plane
    surface: NDArray[np.uint8]
    compared: Mask
    edges: Mask
    alone: tuple[Mask, ...]
    evidence: tuple[int, ...]


def explained(surfaces: Sequence[Surface], earlier: View, now: View) -> Explained:
    """Hold the present photo against the earlier one by all surfaces."""
    here = _Moments.of(now.log)
    best = np.full(now.log.shape, np.inf, np.float32)
    means, away, shown, alone = [], [], [], []
    for surface in surfaces:
        there, seen = _brought(surface, earlier, now)
        excess = _excess(here, _Moments.of(there))
        np.copyto(excess, _UNSEEN, where=~seen)
        alone.append(excess < 1)
        mean = cv2.blur(np.minimum(excess, _UNSEEN), (_SMOOTH_PX, _SMOOTH_PX))
        means.append(np.asarray(mean[::_GRID_PX, ::_GRID_PX], np.float32))
        far = _away(surface, now.size)
        away.append(far[::_GRID_PX, ::_GRID_PX])
        shown.append(seen & (far < _FAR_SHARE * max(now.size)))
        np.minimum(best, excess, out=best)
    small = _labels(means, away)
    label = np.asarray(cv2.resize(small, now.size, interpolation=cv2.INTER_NEAREST), np.uint8)
    # A place belongs to one surface; where the earlier photo does not show that one, another tells nothing.
    compared = np.zeros(now.log.shape, bool)
    for index, seen in enumerate(shown):
        np.copyto(compared, seen, where=label == index)
    compared &= cv2.erode(now.usable.astype(np.uint8), np.ones((WINDOW_PX, WINDOW_PX), np.uint8)) > 0
    best[~compared] = 0
    edges = _edges(surfaces, small, means, now.size)
    return Explained(best, label, compared, edges, tuple(alone), _added(means))


@dataclass(frozen=True, eq=False)
class _Moments:
    """A plane with its means, variances and mean squared slopes in the window."""

    plane: Plane
    mean: Plane
    variance: Plane
    slope: Plane

    @classmethod
    def of(cls, plane: Plane) -> "_Moments":
        mean = _mean(plane)
        across = cv2.Sobel(plane, cv2.CV_32F, 1, 0, scale=0.125)
        down = cv2.Sobel(plane, cv2.CV_32F, 0, 1, scale=0.125)
        slope = _mean(across * across + down * down)
        return cls(plane, mean, np.maximum(_mean(plane * plane) - mean * mean, 1e-9), slope)


def _mean(plane: Plane) -> Plane:
    return np.asarray(cv2.blur(plane, (WINDOW_PX, WINDOW_PX)), np.float32)


def _excess(here: _Moments, there: _Moments) -> Plane:
    """The least that is left over for all shifts, in units of what may be."""
    least = np.full(here.plane.shape, np.inf, np.float32)
    for shift in _shifts():
        plane, mean, variance = (np.roll(p, shift, (0, 1)) for p in (there.plane, there.mean, there.variance))
        common = np.maximum(_mean(here.plane * plane) - here.mean * mean, 0)
        share = np.minimum(common * common / (here.variance * variance), 1)
        left = np.maximum(here.variance, variance) * (1 - share)
        np.minimum(least, left, out=least)
    may_be = _FLOOR**2 + _PER_GRADIENT**2 * np.minimum(here.slope, there.slope)
    return np.asarray(np.sqrt(least / may_be), np.float32)


def _shifts() -> Iterator[tuple[int, int]]:
    reach = range(-REACH_PX, REACH_PX + 1)
    return ((down, right) for down in reach for right in reach if math.hypot(down, right) <= REACH_PX)


def _brought(surface: Surface, earlier: View, now: View) -> tuple[Plane, Mask]:
    """The earlier photo as this surface shows it now, and where it shows anything near its points."""
    plane = cv2.warpPerspective(
        earlier.log, surface.matrix, now.size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    usable = cv2.warpPerspective(
        earlier.usable.astype(np.uint8), surface.matrix, now.size, flags=cv2.INTER_NEAREST
    )
    margin = WINDOW_PX // 2 + REACH_PX + 1
    usable[:margin], usable[-margin:], usable[:, :margin], usable[:, -margin:] = 0, 0, 0, 0
    usable = cv2.erode(usable, np.ones((2 * margin + 1, 2 * margin + 1), np.uint8), borderValue=1)
    return np.asarray(plane, np.float32), usable > 0


def _away(surface: Surface, size: tuple[int, int]) -> Plane:
    """How far each pixel is from the surface's points, px: far from them its plane is a guess."""
    away = np.ones((size[1], size[0]), np.uint8)
    x, y = np.clip(surface.points.round().astype(int), 0, np.array(size) - 1).T
    away[y, x] = 0
    return np.asarray(cv2.distanceTransform(away, cv2.DIST_L2, 3), np.float32)


def _added(means: Sequence[Plane]) -> tuple[int, ...]:
    """How many pixels each surface explains that none before it does."""
    explained_before = np.zeros(means[0].shape, bool)
    added = []
    for mean in means:
        good = mean < _WELL
        added.append(int(np.count_nonzero(good & ~explained_before)) * _GRID_PX * _GRID_PX)
        explained_before |= good
    return tuple(added)


def _labels(means: Sequence[Plane], away: Sequence[Plane]) -> NDArray[np.uint8]:
    """To which surface each cell of the grid belongs, small patches given to what is about them."""
    costs = [mean + _PER_PX_AWAY * far for mean, far in zip(means, away, strict=True)]
    first = np.argmin(costs, axis=0)
    cells = (_PATCH_PX // _GRID_PX, _PATCH_PX // _GRID_PX)
    votes = [cv2.blur((first == index).astype(np.float32), cells) for index in range(len(means))]
    return np.asarray(np.argmax(votes, axis=0), np.uint8)


def _edges(
    surfaces: Sequence[Surface], small: NDArray[np.uint8], means: Sequence[Plane], size: tuple[int, int]
) -> Mask:
    """Strips beside a nearer surface's edge, which one of the two photos does not show.

    Two surfaces that move differently by d px hide or uncover a strip of d px where they meet.  What is
    flat both explain, so the edge may also lie anywhere in a flat gap between what each alone explains.
    """
    x, y = np.meshgrid(np.arange(0, size[0], _GRID_PX), np.arange(0, size[1], _GRID_PX))
    points = np.stack([x.ravel(), y.ravel()], axis=1).astype(float)
    shifts = [points - moved(np.linalg.inv(s.matrix), points) for s in surfaces]
    strips = np.zeros(small.shape, np.uint8)
    for one, other in combinations(range(len(surfaces)), 2):
        jump = np.linalg.norm(shifts[one] - shifts[other], axis=1).reshape(small.shape)
        alone = [
            (means[a] < _WELL) & (means[b] > means[a] + _CLEARLY) for a, b in ((one, other), (other, one))
        ]
        gap = _grown(alone[0], _GAP_PX // _GRID_PX) & _grown(alone[1], _GAP_PX // _GRID_PX)
        meet = (_grown(small == one, 1) & _grown(small == other, 1)) > 0
        strips |= gap & (jump > _STEP_PX).astype(np.uint8)
        reach = _STEP_PX
        while (meet & (jump > reach)).any():
            within = meet & (jump > reach) & (jump <= _STEP * reach)
            strips |= _grown(within, math.ceil((_STEP * reach + _MARGIN_PX) / _GRID_PX))
            reach *= _STEP
    full = cv2.resize(strips, size, interpolation=cv2.INTER_NEAREST)
    return np.asarray(full > 0)


def _grown(mask: Mask, cells: int) -> NDArray[np.uint8]:
    kernel = np.ones((2 * cells + 1, 2 * cells + 1), np.uint8)
    return np.asarray(cv2.dilate(mask.astype(np.uint8), kernel), np.uint8)
