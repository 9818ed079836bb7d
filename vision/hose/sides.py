"""Both sides of a hose: two courses of edge that keep the same distance, or it is none.

The picture is straightened along the course, steps across are averaged along it with their
sign (which removes texture), and each side is the best smooth way along the strip.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import (
    Array,
    Course,
    Picture,
    Strip,
    evenly,
    normals,
    robust_line,
    smooth,
    strip_along,
)
from vision.hose.ways import best_ways

_ROWS_A_WIDTH = 16
_REACH = 2.4  # radii
WIDENS = 1.55  # times as wide as it was taken for a hose may be found
_FURTHEST, _LASTS_FIRM, _LASTS = 1.9, 1.3, 0.5  # radii; times the edges beside; share of the course
_FOOT_REACH, _FOOT, _STEP_FOOT_PX = 1.5, 0.3, 1.2  # radii; of the steepest; px
_SWELLS = 0.06
_MEAN = np.full((1, 3), 1 / 3)  # of the colours
_FIRM_ENOUGH, _OUTWARDS, _RUNS_ALONG = 3.0, 0.15, 0.6


@dataclass(frozen=True, eq=False)
class Sides:
    """A course moved onto the middle between its sides, and how good these are along it.

    Attributes
    ----------
    course : Course
    firm : (N,) array
        Edge strength on the weaker side over that beside the hose, at each point of the course.
    even : float
        Spread of the width over the width.
    mottled : float
        How much the light between the sides changes along, log units in the median: a hose is much
        the same all along, what lies between two chance edges is not.
    """

    course: Course
    firm: Array
    even: float
    mottled: float


def find_sides(
    picture: NDArray[np.uint8],
    course: Course,
    along: float = 1.0,
    room: float = WIDENS - 1,
    *,
    swells: bool = False,
) -> Sides | None:
    """Return the course between two sides near the one given; None where there is too little of it.

    Parameters
    ----------
    picture : (H, W, 3) uint8 array
    course : Course
        Its radius within some 35 %.
    along : float, > 0
        Over how many widths steps are averaged.
    room : float, 0 to 0.55
        How far from the course given a side may lie, radii.
    swells : bool
        Whether the width may change along as it likes, as while nobody knows which hose it is.
    """
    (ways,) = ways_along(picture, [course], along, room, swells=swells)
    return None if ways is None else ways.sides()


def ways_along(
    picture: NDArray[np.uint8],
    courses: Sequence[Course],
    along: float = 1.0,
    room: float = WIDENS - 1,
    *,
    swells: bool = False,
) -> list["Ways | None"]:
    """Return for each course the ways of its sides; as `find_sides`, and many take little longer than one."""
    looked = [_look(picture, course, along, room) for course in courses]
    found = iter(best_ways([gain for look in looked if look for gain in look.gains]))
    return [
        None
        if look is None
        else Ways(course, look, (next(found) + look.first[0], next(found) + look.first[1]), swells)
        for course, look in zip(courses, looked, strict=True)
    ]


@dataclass(frozen=True, eq=False)
class _Look:
    """A strip along a course: its colours, steps, what steps are without a side, and either side's gains.

    `first` are the rows at which the gains begin.
    """

    strip: Strip
    colours: Picture
    steps: Picture
    none: Picture
    gains: tuple[Array, Array]
    first: tuple[int, int]


def _look(picture: NDArray[np.uint8], course: Course, along: float, room: float) -> _Look | None:
    strip = strip_along(course, round(_REACH * _ROWS_A_WIDTH) | 1, _REACH)
    if strip.x.shape[1] < _ROWS_A_WIDTH:
        return None
    colours = strip.of(picture)
    steps = _steps(colours, along * _ROWS_A_WIDTH)
    across = strip.across
    none = _nothing(steps, (np.abs(across) > 1.75) | (np.abs(across) < 0.3))
    # Only the steepest place of an edge, or the bias would push a side down its outer slope.
    crest = steps >= 0.97 * _highest(steps, 5)
    gains, first = [], []
    for way in (-1, 1):
        near = np.flatnonzero((across * way > 1 - 0.9 * room) & (across * way < 1 + room))
        # Firm is firm: the streak's border may be stronger than the side, but lies inside it.
        gain = np.minimum(steps[near] / none, _FIRM_ENOUGH) * (1 + _OUTWARDS * np.abs(across[near]))[:, None]
        gains.append(np.where(crest[near], gain, 0.2 * gain))
        first.append(int(near[0]))
    return _Look(strip, colours, steps, none, (gains[0], gains[1]), (first[0], first[1]))


@dataclass(frozen=True, eq=False)
class Ways:
    """Both sides of a course as rows of its strip; the course between them is not worked out yet."""

    course: Course
    look: _Look
    rows: tuple[NDArray[np.int64], NDArray[np.int64]]
    swells: bool

    @cached_property
    def firm(self) -> Picture:
        """Edge strength (C,) on the weaker side over that beside the hose, at each column."""
        steps, (left, right) = self.look.steps, self.rows
        columns = np.arange(steps.shape[1])
        return np.asarray(
            np.minimum(steps[left, columns], steps[right, columns]) / self.look.none, np.float32
        )

    @cached_property
    def mottled(self) -> float:
        """As of `Sides`."""
        return _mottled(self.look.colours, *self.rows)

    def sides(self) -> Sides:
        """Return the course between the sides."""
        look, course, (left, right) = self.look, self.course, self.rows
        strip, across = look.strip, look.strip.across
        columns = np.arange(len(left))
        a, b = across[left], across[right]
        radius = course.radius[strip.index]
        # The width changes only with distance, so where one side is lost the other one tells the middle.
        half = ndimage.median_filter((b - a) / 2, size=6 * _ROWS_A_WIDTH + 1, mode="nearest")
        if not self.swells:
            half = _steadily(half * radius, self.firm) / radius
        firm_l, firm_r = (
            gain[way - first, columns] ** 3 + 0.01
            for gain, way, first in zip(look.gains, self.rows, look.first, strict=True)
        )
        middle = (firm_l * (a + half) + firm_r * (b - half)) / (firm_l + firm_r)
        middle = ndimage.median_filter(middle, size=2 * _ROWS_A_WIDTH + 1, mode="nearest")
        centre = ndimage.gaussian_filter1d(middle, 0.7 * _ROWS_A_WIDTH, mode="nearest")
        half = ndimage.gaussian_filter1d(half, _ROWS_A_WIDTH, mode="nearest")
        moved = course.points[strip.index] + (centre * radius)[:, None] * strip.normal
        raw = (b - a) / 2
        even = float(np.median(np.abs(raw - half)) * 1.48 / max(np.median(half), 1e-6))
        even += float(np.std(half) / max(np.mean(half), 1e-6))
        moved = smooth(moved, course.width_px / max(strip.step, 1e-6) * 0.5)
        points, at = evenly(moved)
        where = at * (len(moved) - 1)
        firm = np.interp(where, columns, self.firm)
        new = np.interp(where, columns, half * radius)
        return Sides(Course(points, new, float(np.mean(firm))), firm, even, self.mottled)


def _steadily(half: Array, firm: Picture) -> Array:
    """Half widths (C,), px, held to `_SWELLS` about their robust line along: a hose swells nowhere."""
    use = np.flatnonzero(firm > 1.0)
    if len(use) < 8:
        use = np.arange(len(half))
    use = use[:: max(1, len(use) // 80)]
    slope, middle = robust_line(use.astype(np.float64), half[use])
    line = np.maximum(middle + slope * np.arange(len(half)), 0.3 * np.median(half))
    return np.asarray(np.clip(half, (1 - _SWELLS) * line, (1 + _SWELLS) * line), np.float64)


def widened(picture: NDArray[np.uint8], course: Course) -> Course:
    """Return the course between the outermost edges that run along with the one given.

    A pair of edges may be the streak's, or one of the streak and one of the hose: the hose's own are
    further out, and beyond them nothing runs along.
    """
    reach = 4.0
    strip = strip_along(course, round(reach * _ROWS_A_WIDTH) | 1, reach)
    if strip.x.shape[1] < _ROWS_A_WIDTH:
        return course
    steps = _steps(strip.of(picture), 1.0 * _ROWS_A_WIDTH)
    none = _nothing(steps)
    firm = np.minimum(_highest(steps, 3) / none, _FIRM_ENOUGH).mean(axis=1)
    (peaks,) = np.nonzero((firm == ndimage.maximum_filter1d(firm, 5)) & (firm > _RUNS_ALONG * firm.max()))
    at = strip.across[peaks]
    left, right = at[at < 0], at[at > 0]
    pairs = [(b - a, (a + b) / 2) for a in left for b in right if 1.6 < b - a < 6.5 and abs(a + b) < 2.4]
    if not pairs:
        return course
    wide, centre = max(pairs)
    moved = course.points + (centre * course.radius)[:, None] * normals(
        course.points, max(2.0, 0.5 * course.width_px)
    )
    points, index = evenly(moved)
    radius = np.interp(index * (len(moved) - 1), np.arange(len(moved)), course.radius * wide / 2)
    return Course(points, radius)


def outermost(picture: NDArray[np.uint8], sides: Sides, taps: Array) -> Sides:
    """Return the sides moved out to the last edges that run along with the course, each for itself.

    A streak beside a dark ground has a firmer border than the hose's own lit side, which lies further
    out.  Along the whole course nothing else keeps one distance from it, so the outermost edge that
    lasts is the hose's, as long as the taps (N, 2), px, still lie about its middle.
    """
    course = sides.course
    strip = strip_along(course, round(_REACH * _ROWS_A_WIDTH) | 1, _REACH)
    if strip.x.shape[1] < _ROWS_A_WIDTH:
        return sides
    steps = _steps(strip.of(picture), 2.0 * _ROWS_A_WIDTH)
    none = _nothing(steps)
    crest = (steps >= _highest(steps, 5)) & (steps > _LASTS_FIRM * none)
    lasts = _highest(crest.astype(np.float32), 3).mean(axis=1)
    across = strip.across
    ends = []
    for way in (-1, 1):
        out = across * way
        rows = np.flatnonzero((out > 1.15) & (out < _FURTHEST) & (lasts > _LASTS))
        ends.append(way * float(out[rows].max()) if len(rows) else way * 1.0)
    if ends == [-1.0, 1.0]:
        return sides
    wide, centre = (ends[1] - ends[0]) / 2, (ends[0] + ends[1]) / 2
    normal = normals(course.points, max(2.0, 0.5 * course.width_px))
    points, index = evenly(course.points + (centre * course.radius)[:, None] * normal)
    radius = np.interp(index * (len(course.points) - 1), np.arange(len(course.points)), course.radius * wide)
    moved = Course(points, radius)
    nearer = [
        np.hypot(*(taps[:, None] - line[None]).transpose(2, 0, 1)).min(axis=1).mean()
        for line in (points, course.points)
    ]
    if nearer[0] > nearer[1] + 0.35 * float(np.median(course.radius)):
        return sides
    again = find_sides(picture, moved, room=0.3)
    return sides if again is None or again.course.width_px < 1.05 * course.width_px else again


def to_limb(picture: NDArray[np.uint8], course: Course) -> Course:
    """Return the course as wide as the hose where its light falls off toward the limb.

    A bright round hose before a dark ground is steepest well inside its outline (on drawn ones by 15 %
    of the radius): its side is where that slope ends, less the blur of a step.
    """
    rows = int(_FOOT_REACH * course.width_px) | 1
    strip = strip_along(course, min(rows, 161), _FOOT_REACH)
    if strip.x.shape[1] < 8:
        return course
    light = np.log(strip.of(picture).mean(axis=2) + 4.0)
    slopes = np.gradient(cv2.blur(light, (max(3, rows // 2), 1)).astype(np.float64), axis=0)
    slope = np.median(slopes, axis=1)
    ends = []
    for way in (-1, 1):
        order = np.argsort(strip.across * way)
        out, here = (strip.across * way)[order], slope[order]
        near = np.flatnonzero((out > 0.8) & (out < 1.2))
        crest = int(near[np.argmax(np.abs(here[near]))])
        end = crest
        while end + 1 < len(here) and here[end + 1] * np.sign(here[crest]) > _FOOT * abs(here[crest]):
            end += 1
        blur = 2 * _STEP_FOOT_PX / course.width_px
        ends.append(way * float(np.clip(out[end] - blur, 0.97, 1.3)))
    wide, centre = (ends[1] - ends[0]) / 2, (ends[0] + ends[1]) / 2
    normal = normals(course.points, max(2.0, 0.5 * course.width_px))
    moved = course.points + (centre * course.radius)[:, None] * normal
    return Course(moved, course.radius * wide, course.strength)


def _mottled(colours: Picture, left: NDArray[np.int64], right: NDArray[np.int64]) -> float:
    first = int(left.min())
    light = np.log(cv2.transform(colours[first : int(right.max()) + 1], _MEAN) + np.float32(12.0))
    fine = cv2.blur(light, (_ROWS_A_WIDTH // 4, _ROWS_A_WIDTH // 4))
    change = np.abs(fine - cv2.blur(fine, (3 * _ROWS_A_WIDTH, 1)))
    row = np.arange(first, first + light.shape[0])[:, None]
    inside = (row > left + 2) & (row < right - 2)
    return float(np.median(change[inside])) if inside.any() else 1.0


def _steps(strip: Picture, along: float) -> Picture:
    """Size of the colour step across at each place (R, C), in grey levels."""
    even = cv2.blur(strip, (max(3, int(along) | 1), 1), borderType=cv2.BORDER_REPLICATE)
    even = cv2.GaussianBlur(even, (1, 5), 1.2, borderType=cv2.BORDER_REPLICATE)
    change = np.empty_like(even)
    np.subtract(even[2:], even[:-2], out=change[1:-1])
    change[0], change[-1] = 2 * (even[1] - even[0]), 2 * (even[-1] - even[-2])
    return np.asarray(cv2.sqrt(cv2.transform(cv2.multiply(change, change), _MEAN)), np.float32)


def _nothing(steps: Picture, beside: NDArray[np.bool_] | None = None) -> Picture:
    """What a way of the same freedom finds at each column (C,) without a side, and the picture's noise."""
    rows = np.sort(steps if beside is None else steps[beside], axis=0)
    return np.asarray(0.5 * np.mean([_at_share(rows, 0.5), _at_share(rows, 0.9)], axis=0) + 0.6, np.float32)


def _at_share(rows: Picture, share: float) -> Picture:
    """The quantile (C,) of sorted rows (R, C)."""
    low, part = divmod(share * (len(rows) - 1), 1)
    above = rows[min(int(low) + 1, len(rows) - 1)]
    return np.asarray(rows[int(low)] * (1 - part) + above * part, np.float32)


def _highest(picture: Picture, rows: int) -> Picture:
    """The greatest of `rows` rows about each place."""
    return np.asarray(cv2.dilate(picture, np.ones((rows, 1), np.uint8)), np.float32)
