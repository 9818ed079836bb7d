"""The tire's outline against its background: its diameter, and how far off the wheel's middle it lies.

The outline belongs to the tread, some way behind the flange.  So it tells three things about a circle
taken for the flange: whether it has the right size beside the tire, which of its two poses is the true
one (the wrong one puts the outline aside), and the tire's outside diameter.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.camera import Camera
from vision.photo import Photo
from vision.tire.profile import Shape, grazed_diameter, outline_course
from vision.wheel import CirclePose

Array = NDArray[np.float64]

SECTOR_DEG = 112.0  # to either side of up: below it the tire is squashed
COUNT = 150
REACH = 0.10  # of the outside radius, to either side of the expected course
FIRST_PX = 900.0  # the outline's size at which it is searched
_PER_PROFILE = 3
_TRIES = 220
_AGREE = 0.005  # of the outside diameter: what a profile may lie off the common circle
_LEAST_STEP = 0.12  # of ln(light), in the colour that shows it best
_DARK = 0.02  # of white, added to light: below it is noise


@dataclass(frozen=True)
class Outline:
    """An outline found.

    Attributes
    ----------
    px, sigma : (N, 2), (N,) arrays
        Points on it and their standard uncertainties, px.
    share : float, 0 to 1
        Part of the sector that agrees.
    diameter_mm : float
        Outside diameter that the points tell by the pose and shape they were found with.
    shift_mm : (2,) array
        How far their circle lies off the wheel's axis.
    scatter_mm : float
        Standard deviation of single points' diameters.
    contrast : float
        Median step across it, of ln(light).
    """

    px: Array
    sigma: Array
    share: float
    diameter_mm: float
    shift_mm: Array
    scatter_mm: float
    contrast: float


def find_outline(
    photo: Photo, camera: Camera, pose: CirclePose, shape: Shape, up: Array, reach: float = REACH
) -> Outline | None:
    """Find the outline about its expected course; None where less than a quarter of it agrees.

    Parameters
    ----------
    up : (2,) array
        Unit vector in the wheel's plane, roughly upward.
    reach : float
        How far off the expected course it may lie, of its radius.
    """
    first = np.arctan2(up[0], -up[1])
    clock = first + np.radians(np.linspace(-SECTOR_DEG, SECTOR_DEG, COUNT))
    course = outline_course(shape, pose, clock)
    if (course[:, 2] <= 0).any():
        return None
    px = camera.project(course)
    middle = camera.project(pose.centre[None])[0]
    out = px - middle
    size = np.linalg.norm(out, axis=1)
    out /= size[:, None]
    height, width = photo.pixels.shape[:2]
    factor = max(1, int(np.median(size) * 2 / FIRST_PX))
    found = _steps(photo, factor, px, out, reach * size)
    if found is None:
        return None
    at, step, row = found
    inside = ((at > 4) & (at < np.array([width, height]) - 5)).all(axis=1)
    # Shading within the rubber, a tenth as strong as the outline, lies beside it on every profile.
    strongest = np.zeros(COUNT)
    np.maximum.at(strongest, row, np.abs(step))
    inside &= np.abs(step) > 0.25 * strongest[row]
    at, step, row = at[inside], step[inside], row[inside]
    if len(at) < 12:
        return None
    diameter, place = grazed_diameter(shape, pose, camera.rays(at))
    return _agreed(at, step, row, diameter, place, float(factor))


def _steps(
    photo: Photo, factor: int, px: Array, out: Array, reach: Array
) -> tuple[Array, Array, NDArray[np.int_]] | None:
    """The strongest few steps along each profile: places (K, 2) px, heights (K,), and which profile (K,)."""
    count = 161
    share = np.linspace(-1, 1, count)
    at = px[:, None, :] + (share[None, :] * reach[:, None])[:, :, None] * out[:, None, :]
    low, high = at.min(axis=(0, 1)), at.max(axis=(0, 1))
    height, width = photo.pixels.shape[:2]
    if (np.minimum(high, [width, height]) - np.maximum(low, 0) < 20 * factor).any():
        return None
    # A large outline is no sharper: what lies side by side along it is averaged.
    beside = np.arange(factor) - (factor - 1) / 2
    light = np.zeros((*at.shape[:2], 3), np.float32)
    for off in beside:
        light += photo.linear_at(at[..., 0] - off * out[:, None, 1], at[..., 1] + off * out[:, None, 0])
    # In ln: a dark tire before a dark wall.  In each colour: a grey tire before a red cart as light as it.
    profiles = np.log(light / factor + _DARK).astype(float)
    spacing = float(np.median(reach)) / factor * (share[1] - share[0])  # reduced px
    k = max(2, round(2.5 / max(spacing, 1e-6)))
    total = np.cumsum(np.pad(profiles, ((0, 0), (1, 0), (0, 0))), axis=1)
    n = np.arange(k, count - k)
    each = (total[:, n + k] - 2 * total[:, n] + total[:, n - k]) / k
    best = np.argmax(np.abs(each), axis=2)
    rise = np.zeros(profiles.shape[:2])
    rise[:, n] = np.take_along_axis(each, best[..., None], axis=2)[..., 0]
    size = np.abs(rise)
    places, heights, rows = [], [], []
    for _ in range(_PER_PROFILE):
        best = np.argmax(size, axis=1)
        value = size[np.arange(len(size)), best]
        good = (value > _LEAST_STEP) & (best > k) & (best < count - k - 1)
        i = np.flatnonzero(good)
        a, b, c = (size[i, best[i] + d] for d in (-1, 0, 1))
        sub = np.clip((a - c) / np.minimum(2 * (a - 2 * b + c), -1e-9), -1, 1)
        # total[n] ends before sample n: the step lies half a sample before it.
        where = (best[i] + sub - 0.5) / (count - 1) * 2 - 1
        places.append(px[i] + (where * reach[i])[:, None] * out[i])
        heights.append(rise[i, best[i]])
        rows.append(i)
        size[np.abs(np.arange(count) - best[:, None]) <= k] = 0
    return np.concatenate(places), np.concatenate(heights), np.concatenate(rows)


def _agreed(
    at: Array, step: Array, row: NDArray[np.int_], diameter: Array, place: Array, px_doubt: float
) -> Outline | None:
    """The circle that most profiles agree on: its diameter and its shift off the axis."""
    r = np.linalg.norm(place, axis=1, keepdims=True)
    columns = np.column_stack([np.ones(len(at)), 2 * place / r])
    within = _AGREE * float(np.median(diameter))
    # Faint steps inside the rubber must not outvote the outline itself.
    worth = np.minimum(np.abs(step) / max(float(np.quantile(np.abs(step), 0.7)), 1e-9), 1.0)
    best = _most_voted(columns, diameter, row, worth, within)
    if best is None:
        return None
    keep = np.ones(len(at), np.bool_)
    for _ in range(8):
        off = np.abs(diameter - columns @ best)
        keep = _nearest_of_each(off, row) & (off < within)
        if keep.sum() < 0.25 * COUNT:
            return None
        within = max(0.0015 * float(best[0]), min(within, 4 * 1.4826 * float(np.median(off[keep]))))
        weight = worth[keep] / (1 + (off[keep] / (0.4 * within)) ** 2)
        normal = columns[keep].T @ (weight[:, None] * columns[keep])
        best = np.linalg.solve(normal, columns[keep].T @ (weight * diameter[keep]))
    left = (diameter - columns @ best)[keep]
    scatter = float(np.sqrt(np.mean(left**2)))
    sigma = np.full(int(keep.sum()), max(0.35 * px_doubt, 0.2))
    share = len(np.unique(row[keep])) / COUNT
    return Outline(
        at[keep],
        sigma,
        share,
        float(best[0]),
        np.asarray(best[1:]),
        scatter,
        float(np.median(np.abs(step[keep]))),
    )


def _most_voted(
    columns: Array, diameter: Array, row: NDArray[np.int_], worth: Array, within: float
) -> Array | None:
    """The circle (3,) through three of the points on which most profiles agree; None where none is one."""
    three = np.random.default_rng(0).integers(0, len(row), (_TRIES, 3))
    a, b, c = row[three].T
    three = three[(a != b) & (b != c) & (c != a)]
    three = three[np.abs(np.linalg.det(columns[three])) > 1e-6]
    fits = np.linalg.solve(columns[three], diameter[three][..., None])[..., 0]
    fits = fits[np.hypot(fits[:, 1], fits[:, 2]) <= 0.12 * fits[:, 0]]
    if len(fits) == 0:
        return None
    near = np.abs(diameter - fits @ columns.T) < within
    order = np.argsort(row, kind="stable")
    first = np.flatnonzero(np.diff(row[order], prepend=-1))
    votes = np.add.reduceat((near * worth)[:, order], first, axis=1).clip(0, 1).sum(axis=1)
    return np.asarray(fits[int(np.argmax(votes))])


def _nearest_of_each(off: Array, row: NDArray[np.int_]) -> NDArray[np.bool_]:
    order = np.lexsort((off, row))
    first = np.ones(len(row), np.bool_)
    first[1:] = row[order][1:] != row[order][:-1]
    keep = np.zeros(len(row), np.bool_)
    keep[order] = first
    return keep


def outside_diameter(px: Array, shape: Shape) -> Callable[[CirclePose, Camera], float]:
    """Return the outside diameter (mm) as a function of pose and camera, for points (N, 2) px on the outline.

    Diameter and shift are fitted together, so a tire that sits a little off its rim does not count.
    """

    def value(pose: CirclePose, camera: Camera) -> float:
        diameter, place = grazed_diameter(shape, pose, camera.rays(px))
        r = np.linalg.norm(place, axis=1, keepdims=True)
        columns = np.column_stack([np.ones(len(px)), 2 * place / r])
        fit = np.linalg.solve(columns.T @ columns, columns.T @ diameter)
        left = np.abs(diameter - columns @ fit)
        weighted = columns.T / (1 + (left / (1e-3 * fit[0])) ** 2)
        return float(np.linalg.solve(weighted @ columns, weighted @ diameter)[0])

    return value
