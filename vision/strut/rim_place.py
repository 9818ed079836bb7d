"""Where the collar's lower rim may be on the straightened view.

This only decides *which* line; `rim` then measures it.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d, maximum_filter1d

from vision.cylinder import elevation_deg
from vision.strut.window import Straightened

Array = NDArray[np.float64]

INNER = 0.8  # of the piston's radius: chrome between its limbs
OUTER = (1.06, 0.93)  # of the piston's and of the collar's radius: collar beside the piston
MIN_RIM_SHARE = 0.5
GROUP_MM = 5.0
BIN = 8  # neighbouring columns whose light is averaged
SPARSE, LEVELS = 6, 12  # every sixth pixel tells the usual change, at so many levels of light
SHADING, DIMMEST, BRIGHTEST = 0.03, 0.0005, 0.004  # of white per pixel: by shading alone light changes less
FAINT = 0.01  # a change of light per pixel, as a share of white, that is half sure to be an edge
# Where a collar's side may stand beyond its rim's radius: up to a chamfer's height.
COLLAR_SIDE_MM = (-0.7, 3.7)
# Where a piston's outline may appear about its radius: towards the limb chrome mirrors what stands
# beside the strut, and before a dark tire it ends a tenth of its radius too early, or more.
PISTON_SIDE_MM = (-6.0, 1.2)
BELOW_MM, ABOVE_MM = (-12.0, -3.0), (3.0, 14.0)  # of a rim: nothing wider than the piston, then the collar
SIDE_SHARE = 0.7
# From the band to a rim, and to what a near rim hides of it, the piston's own outline goes on.
PISTON_SLICE_MM, PISTON_END_MM, PISTON_SHARE = 10.0, 3.0, 0.3


@dataclass(frozen=True)
class Rim:
    """A place where the collar's lower rim may be, with the shares of columns that show an edge there."""

    s_mm: float
    inner_share: float
    outer_share: float
    strength: float


def find_rims(
    view: Straightened,
    radii: tuple[float, float],
    between: tuple[float, float],
    clear: tuple[NDArray[np.bool_], NDArray[np.bool_]],
    clear_piston: tuple[NDArray[np.bool_], NDArray[np.bool_]],
) -> list[Rim]:
    """List the places, lowest first, where edges bowed like the collar's rim cross the view.

    Inside the piston's width the rim stands before chrome; beside it, before
    the background, where from below its far arc is the outline.  Mirror images
    of the rim live in the chrome only, so a place counts only where at least
    one side beside the piston shows it too.  A line with the collar's sides
    below it, or without the piston's outline, is the collar's upper edge or a groove.  Peaks closer than a chamfer is
    high are one place: the strongest stands for them.

    Parameters
    ----------
    radii : (piston, collar)
        mm.
    between : (low, high)
        Axial places to look between, mm.
    clear : two (rows,) bool arrays
        Where the collar's left and right side would be in view, the card not before them.
    clear_piston : two (rows,) bool arrays
        The same of the piston's sides.
    """
    piston_mm, collar_mm = radii
    places = np.arange(*between, 0.7 / view.k)
    if len(places) < 3:
        return []
    upward, sideways = _Change.of(view, axis=0), _Change.of(view, axis=1)
    x = view.x_mm
    inner = np.flatnonzero(np.abs(x) < INNER * piston_mm)
    left = np.flatnonzero((x < -OUTER[0] * piston_mm) & (x > -OUTER[1] * collar_mm))
    right = np.flatnonzero((x > OUTER[0] * piston_mm) & (x < OUTER[1] * collar_mm))
    near, far = (_Courses.of(view, collar_mm, places, far) for far in (False, True))
    inner_share, strength = _along(upward, view, near, inner)
    outer, outer_strength = [], []
    for columns in (left, right):
        a, sa = _along(upward, view, near, columns)
        b, sb = _along(upward, view, far, columns)
        outer.append(np.maximum(a, b))
        outer_strength.append(np.maximum(sa, sb))
    outer_share = np.maximum(*outer)
    power = strength + np.maximum(*outer_strength)
    ok = (inner_share > MIN_RIM_SHARE) & (outer_share > MIN_RIM_SHARE)
    rims = _peaks(places, inner_share, outer_share, power, ok)
    sides = [
        _side_seen(sideways, view, collar_mm, COLLAR_SIDE_MM, side, rows)
        for side, rows in zip((-1, 1), clear, strict=True)
    ]
    rims = [rim for rim in rims if min(_shares(view, sides, rim.s_mm, BELOW_MM), default=0.0) < SIDE_SHARE]
    outlines = [
        _side_seen(sideways, view, piston_mm, PISTON_SIDE_MM, side, rows)
        for side, rows in zip((-1, 1), clear_piston, strict=True)
    ]
    rims = [rim for rim in rims if _piston_goes_on(view, outlines, radii, between[0], rim)]
    begun = [rim for rim in rims if max(_shares(view, sides, rim.s_mm, ABOVE_MM), default=0.0) > SIDE_SHARE]
    return begun or rims


@dataclass(frozen=True)
class _Change:
    """Signed change of luma per pixel along an axis of a view, and from where on a mean over a bin is an edge.

    The floors are the whole view's: among a few columns an outline may be what is usual.  They
    go with the light, as a sensor's noise does and every texture: before a dark tire a step counts
    that would be lost on a bright wall.
    """

    values: NDArray[np.float32]
    light: NDArray[np.float32]
    levels: Array
    floors: Array

    @classmethod
    def of(cls, view: Straightened, axis: int) -> "_Change":
        """Change along an axis, nan at the photo's border; the floors lie above noise, and above shading."""
        light = gaussian_filter1d(view.luma, 0.8, axis=axis, mode="nearest")
        change = np.gradient(light, axis=axis)
        outside = view.luma < 0
        if outside.any():
            change[maximum_filter1d(outside.astype(np.uint8), 7, axis=axis) > 0] = np.nan
        few, their_light = change[::SPARSE, ::SPARSE].ravel(), light[::SPARSE, ::SPARSE].ravel()
        order = np.argsort(np.where(np.isfinite(few), their_light, np.inf))[: int(np.isfinite(few).sum())]
        groups = [group for group in np.array_split(order, LEVELS) if len(group)]
        levels = np.array([np.median(their_light[group]) for group in groups] or [0.0])
        usual = np.array([np.median(np.abs(few[group])) for group in groups] or [0.0])
        noise = 1.4826 * np.maximum.accumulate(usual)
        shading = np.minimum(SHADING * levels + DIMMEST, BRIGHTEST)
        return cls(change, light, levels, np.maximum(5 * noise / float(np.sqrt(BIN)), shading))

    def floor(self, light: NDArray[np.float32]) -> Array:
        """From where on a mean change counts as an edge where the light is so much."""
        return np.asarray(np.interp(light, self.levels, self.floors))


@dataclass(frozen=True)
class _Courses:
    """Arcs at places (P,): linear between two arcs (columns,) far apart, as they lie about their place."""

    places: Array
    first: Array
    last: Array

    @classmethod
    def of(cls, view: Straightened, radius: float, places: Array, far: bool) -> "_Courses":
        a, b = float(places[0]), float(places[-1])
        return cls(places, view.ring_course(a, radius, far) - a, view.ring_course(b, radius, far) - b)

    def at(self, columns: NDArray[np.intp]) -> Array:
        """Axial places (P, N) of the arcs in some columns."""
        a, b = self.places[0], self.places[-1]
        share = ((self.places - a) / (b - a))[:, None]
        first = self.first[columns]
        return np.asarray(self.places[:, None] + first + share * (self.last[columns] - first))


def _along(
    change: _Change, view: Straightened, courses: _Courses, columns: NDArray[np.intp]
) -> tuple[Array, Array]:
    """Share of the bins with an edge on each course (P,), and their mean saturated steepness (P,)."""
    columns = columns[: len(columns) // BIN * BIN]
    if len(columns) == 0:
        return np.zeros(len(courses.places)), np.zeros(len(courses.places))
    row = np.round((view.s_max - courses.at(columns)) * view.k)
    inside = np.isfinite(row) & (row >= 0) & (row < len(change.values))
    index = np.where(inside, row, 0).astype(int)
    values = np.where(inside, change.values[index, columns[None, :]], np.nan)
    light = change.light[index, columns[None, :]].reshape(len(values), -1, BIN).mean(axis=2)
    # An edge keeps its sign over neighbouring columns, noise does not.
    steep = np.nan_to_num(np.abs(values.reshape(len(values), -1, BIN).mean(axis=2)))
    hits = steep > change.floor(light)
    return hits.mean(axis=1), (steep / (steep + 2 * FAINT)).mean(axis=1)


def _side_seen(
    sideways: _Change,
    view: Straightened,
    radius: float,
    about: tuple[float, float],
    side: int,
    clear: NDArray[np.bool_],
) -> Array:
    """Where (rows,) the light changes sideways about a cylinder's side: 1 or 0, nan where that cannot be seen."""
    x = side * view.x_mm - radius
    columns = np.flatnonzero((x > about[0]) & (x < about[1]))
    seen = np.full(len(view.s_mm), np.nan)
    if len(columns) < 3:
        return seen
    change = sideways.values[:, columns]
    rows = len(change) // BIN * BIN
    mean = np.abs(change[:rows].reshape(-1, BIN, len(columns)).mean(axis=1))
    light = sideways.light[:rows, columns].reshape(-1, BIN, len(columns)).mean(axis=1)
    steep = (np.nan_to_num(mean) > 1.5 * sideways.floor(light)).any(axis=1)
    seen[:rows] = np.where(np.isfinite(mean).any(axis=1), steep, np.nan).repeat(BIN)
    seen[~clear] = np.nan
    return seen


def _shares(view: Straightened, sides: list[Array], s: float, between: tuple[float, float]) -> list[float]:
    """For each side that is in view between two heights about s: the share of rows where it is seen."""
    rows = (view.s_mm > s + between[0]) & (view.s_mm < s + between[1])
    known = [side[rows & np.isfinite(side)] for side in sides]
    return [float(side.mean()) for side in known if len(side) > 0.5 * max(int(rows.sum()), 1)]


def _piston_goes_on(
    view: Straightened, outlines: list[Array], radii: tuple[float, float], low: float, rim: Rim
) -> bool:
    """Whether the piston's outline is seen all the way from an axial place `low` up to a rim.

    In every slice of the way one side must show it; slices where neither is in view say nothing.
    """
    tangent = float(np.tan(np.radians(elevation_deg(view.axis, rim.s_mm))))
    # Seen from above the rim's near arc hides the upper end of the outlines.
    hidden = float(np.sqrt(max(radii[1] ** 2 - radii[0] ** 2, 0.0))) * max(tangent, 0.0)
    high = rim.s_mm - hidden - PISTON_END_MM
    slices = np.linspace(low, high, max(int((high - low) / PISTON_SLICE_MM), 1) + 1)
    for a, b in pairwise(slices):
        if max(_shares(view, outlines, 0.0, (a, b)), default=1.0) <= PISTON_SHARE:
            return False
    return True


def _peaks(places: Array, inner: Array, outer: Array, power: Array, ok: NDArray[np.bool_]) -> list[Rim]:
    rims: list[Rim] = []
    score = np.where(ok, power, 0.0)
    for i in np.flatnonzero(ok):
        near = np.abs(places - places[i]) < GROUP_MM
        if score[i] >= score[near].max() and not (rims and places[i] - rims[-1].s_mm < GROUP_MM):
            rims.append(Rim(float(places[i]), float(inner[i]), float(outer[i]), float(power[i])))
    return rims
