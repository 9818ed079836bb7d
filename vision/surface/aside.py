"""What stands out on a surface and is no wear by its form: set aside with its reason, never thrown away."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import permutations

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.surface.looked import LIGHT, Picture
from vision.surface.places import Place

_SLENDER, _VERY_SLENDER = 3.0, 6.0
_ALONG = 0.3  # rad off the light's own direction
_BURNT = 0.15  # of what is about a place
_SMALL = 0.06  # of the region's narrow side
_DIPOLE = 4.5  # robust sigmas of the surface, on both sides
_LEAST_DIPOLE = 0.12  # ln units
_STEP, _GOES_ON = 0.75, 0.5  # of the place's own contrast; of that step
_LEAST_STEP, _SLOPES = 0.15, 1.5  # ln units; of the slopes beside it
_BAND, _AT_BORDER = 4, 0.4  # px; of a place
_SOLID = 0.45  # of the hull about it
_ROW, _ROW_SPACING, _ALIKE = 5, 0.18, 2.0
_LONGEST_SPACING = 0.15  # of the region's narrow side


@dataclass(frozen=True, eq=False)
class Seen:
    """What is known of the surface about a place.

    Attributes
    ----------
    own : (H, W, 4) float32 array
        Maps less what is the surface's own.
    light : (H, W) float32 array
        ln light as it is.
    known, burnt : (H, W) bool arrays
        Where the surface is seen; where it is burnt out.
    spread : float
        Robust sigma of the surface's own light.
    narrow : float
        The region's narrow side, worked px.
    axis : float or None
        Direction along which the light is the same, rad.
    """

    own: Picture
    light: Picture
    known: NDArray[np.bool_]
    burnt: NDArray[np.bool_]
    spread: float
    narrow: float
    axis: float | None

    @cached_property
    def inner(self) -> NDArray[np.bool_]:
        """Known, and not right beside what is not."""
        band = np.ones((2 * _BAND + 1, 2 * _BAND + 1), np.uint8)
        return cv2.erode(self.known.astype(np.uint8), band, borderValue=0).astype(bool)


def aside_as(  # noqa: PLR0911 - one answer a line reads as the list that it is
    place: Place, seen: Seen
) -> tuple[str, str] | None:
    """Return kind and reason why a place is set aside; None where a person has to judge it."""
    long, short = place.sides
    rows, columns = place.mask.shape
    at = slice(place.row, place.row + rows), slice(place.column, place.column + columns)
    if float((place.mask & ~seen.inner[at]).sum()) > _AT_BORDER * float(place.mask.sum()):
        return "edge", "lies along the border of what was shown, or along a thing on it"
    if place.signal != 0 and float(seen.burnt[_about(place, 1.2)].mean()) > _BURNT:
        return "sun", "lies in light that the photo shows burnt out: nothing is seen there"
    if (
        place.signal in (0, 4)
        and seen.axis is not None
        and long > _SLENDER * short
        and _runs_along(place, seen.axis)
    ):
        return "streak", "runs along the light on the surface: light mirrored in it"
    if long > _VERY_SLENDER * short and long > 2 * _SMALL * seen.narrow and place.signal == 1:
        return "edge", "dark, narrow and straight: a seam or a shadow line"
    if long < _SMALL * seen.narrow and _glints(place, seen):
        return "drop", "small, with a bright and a dark side: a drop, a fastener's head or a chip"
    if place.signal < 2 and _on_step(place, seen):
        return "shadow", "lies on a border between light and dark: a shadow's edge"
    if _solidity(place) < _SOLID:
        return "pattern", "branches as the surface's own pattern does"
    return None


def in_rows(places: Sequence[Place], narrow: float) -> set[int]:
    """Return the indices of places that stand in a straight row, evenly spaced and alike: fasteners.

    A raised head shows as a bright and a dark place side by side: both are one.
    """
    if not places:
        return set()
    middles = np.array([place.middle for place in places])
    sizes = np.array([max(place.sides) for place in places])
    joined = _joined(middles, sizes)
    heads = sorted(set(joined))
    at = np.array(
        [middles[[k for k, head in enumerate(joined) if head == one]].mean(axis=0) for one in heads]
    )
    big = np.array([sizes[one] for one in heads])
    found: set[int] = set()
    for i, j in permutations(range(len(heads)), 2):
        apart = float(np.hypot(*(at[j] - at[i])))
        alike = max(big[i], big[j]) < _ALIKE * min(big[i], big[j])
        if not alike or not 1.2 * max(big[i], big[j]) < apart < _LONGEST_SPACING * narrow:
            continue
        row = _row(i, j, at, big, _ROW_SPACING * apart)
        if len(row) >= _ROW:
            found.update(row)
    return {k for k, head in enumerate(joined) if heads.index(head) in found}


def _row(i: int, j: int, at: NDArray[np.float64], big: NDArray[np.float64], off_by: float) -> list[int]:
    row = [i, j]
    while True:
        # The step is told anew by the row so far: a small error would grow along it.
        mean = (at[row[-1]] - at[row[0]]) / (len(row) - 1)
        off = np.hypot(*(at - at[row[-1]] - mean).T)
        off[(big > _ALIKE * big[i]) | (big < big[i] / _ALIKE)] = np.inf
        near = int(np.argmin(off))
        if off[near] > off_by or near in row:
            return row
        row.append(near)


def _joined(middles: NDArray[np.float64], sizes: NDArray[np.float64]) -> list[int]:
    """For each place the first one that it lies close beside, itself where there is none."""
    joined: list[int] = []
    for k, middle in enumerate(middles):
        off = np.hypot(*(middles[:k] - middle).T) if k else np.zeros(0)
        near = np.flatnonzero(off < 0.8 * (sizes[:k] + sizes[k]))
        joined.append(joined[near[0]] if len(near) else k)
    return joined


def _solidity(place: Place) -> float:
    hull = cv2.contourArea(cv2.convexHull(place.outline.astype(np.float32))) + 1
    return float(place.mask.sum()) / hull


def _runs_along(place: Place, axis: float) -> bool:
    rows, columns = np.nonzero(place.mask)
    off = np.stack([columns - columns.mean(), rows - rows.mean()])
    _, vectors = np.linalg.eigh(off @ off.T)
    way = vectors[:, 1]
    return bool(abs(way @ [-np.sin(axis), np.cos(axis)]) < np.sin(_ALONG))


def _glints(place: Place, seen: Seen) -> bool:
    box = _about(place, 0.6)
    light = seen.own[box][..., LIGHT][seen.known[box]]
    if light.size < 12:
        return False
    limit = max(_DIPOLE * seen.spread, _LEAST_DIPOLE)
    # Half of a small place's neighbourhood is the surface: a few pixels of either kind tell.
    ordered = np.sort(light)
    few = max(3, int(0.03 * light.size))
    return bool(ordered[:few].mean() < -limit and ordered[-few:].mean() > limit)


def _on_step(place: Place, seen: Seen) -> bool:
    """Whether the light as it is steps from one side of a place to the other, and goes on to do so beyond it.

    A mark that is seen in part has unlike sides, too; but the border of a shadow does not end with it.  Where
    the light changes as much further on to both sides, it is the shape's slope and no step.
    """
    rows, columns = np.nonzero(place.mask)
    contrast = abs(float(place.contrast[place.signal]))
    off = np.stack([columns - columns.mean(), rows - rows.mean()], 1)
    for way in np.linspace(0, np.pi, 8, endpoint=False):
        across = np.array([np.cos(way), np.sin(way)])
        along = np.array([-across[1], across[0]])
        wide, long = float(np.ptp(off @ across)) / 2, float(np.ptp(off @ along)) / 2
        reach = max(2, int(wide / 2))
        apart = wide + reach + 3
        steps, slopes = [], []
        for shift in (0.0, 1.0, -1.0):
            middle = place.middle + shift * (long + 2 * reach + 1) * along
            far, near, other, beyond = (
                _level(seen, middle + times * apart * across, reach) for times in (-2.5, -1, 1, 2.5)
            )
            steps.append(other - near)
            slopes.append(float(np.nanmax([0.0, abs(near - far), abs(beyond - other)])))
        here = abs(steps[0])
        if here > max(_STEP * contrast, _LEAST_STEP) and here > _SLOPES * slopes[0] and _goes_on(steps):
            return True
    return False


def _goes_on(steps: Sequence[float]) -> bool:
    """Whether the first step goes on in the others, as far as they are in view."""
    seen = [step * np.sign(steps[0]) for step in steps[1:] if np.isfinite(step)]
    return bool(seen) and all(step > _GOES_ON * abs(steps[0]) for step in seen)


def _level(seen: Seen, at: NDArray[np.float64], reach: int) -> float:
    """Median light of a square; nan where little of it is known."""
    height, width = seen.known.shape
    (x, y) = at
    box = (
        slice(int(np.clip(y - reach, 0, height)), int(np.clip(y + reach + 1, 0, height))),
        slice(int(np.clip(x - reach, 0, width)), int(np.clip(x + reach + 1, 0, width))),
    )
    there = seen.known[box]
    return float(np.median(seen.light[box][there])) if there.sum() >= 4 else float("nan")


def _about(place: Place, share: float) -> tuple[slice, slice]:
    rows, columns = place.mask.shape
    pad = max(3, int(share * max(rows, columns)))
    return (
        slice(max(place.row - pad, 0), place.row + rows + pad),
        slice(max(place.column - pad, 0), place.column + columns + pad),
    )
