"""Which hoses a photo shows: ridges whose two sides are edges of a constant distance."""

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from vision.hose.course import Array, Course
from vision.hose.pairs import edge_pairs
from vision.hose.sides import Sides, Ways, find_sides, widened
from vision.hose.track import tracks
from vision.photo import Photo

SEARCHED_SIDE_PX = 1280
LEAST_WIDTH_PX = 12.0  # of a hose in the photo: below it a spot is a few pixels
_FIRM = 1.6
_LEAST_SHARE = 0.55
_MOST_UNEVEN = 0.16
_LEAST_LENGTH = 7.0  # widths
MOST_HOSES = 8
_MOST_TRIED = 30
_MOTTLED = 0.1  # log units
_WIDTHS = np.array([4.0, 4.9, 6.0, 7.3, 9.0, 11.0, 13.4])


def searched_size(photo: Photo) -> NDArray[np.uint8]:
    """Return the photo as small as hoses are looked for in it."""
    height, width = photo.pixels.shape[:2]
    factor = max(1.0, max(height, width) / SEARCHED_SIDE_PX, min(2.0, min(height, width) / 480))
    size = (max(1, round(width / factor)), max(1, round(height / factor)))
    return np.asarray(cv2.resize(photo.pixels, size, interpolation=cv2.INTER_AREA), np.uint8)


def find_hoses(photo: Photo) -> list[Course]:
    """Return the courses of what looks like a hose, the firmest and longest first, px of the photo."""
    small = searched_size(photo)
    lines: list[tuple[float, Course]] = []
    picture, scale = small, 1.0
    while min(picture.shape[:2]) > 60:
        widths = _WIDTHS if scale == 1 else _WIDTHS[3:]
        for points, wide, mean in tracks(edge_pairs(picture, widths)):
            line = (points + 0.5) * scale - 0.5
            course = Course(line, np.full(len(line), wide * scale / 2))
            # A wide pair before the streak or the braid's rib inside it.
            lines.append((len(line) * np.sqrt(wide * scale) * min(mean, 120.0), course))
        half = (picture.shape[1] // 2, picture.shape[0] // 2)
        picture = np.asarray(cv2.resize(picture, half, interpolation=cv2.INTER_AREA), np.uint8)
        scale *= 2
    return [course.scaled(photo.pixels.shape[1] / small.shape[1]) for course in _apart(lines, small)]


def _apart(lines: list[tuple[float, Course]], small: NDArray[np.uint8]) -> list[Course]:
    lines.sort(key=lambda pair: -pair[0])
    kept: list[Course] = []
    taken = np.zeros(small.shape[:2], np.uint8)
    tried = 0
    for _, line in lines:
        if len(kept) == MOST_HOSES or tried == _MOST_TRIED:
            break
        if _fresh(line, taken) is None:
            continue
        tried += 1
        for sides in _checked(small, line):
            course = _fresh(sides.course, taken)
            if course is None:
                continue
            kept.append(course)
            thick = max(1, int(2.0 * np.median(course.radius)))
            cv2.polylines(taken, [course.points.round().astype(np.int32)], False, 255, thick)
    return kept[:MOST_HOSES]


def _checked(small: NDArray[np.uint8], course: Course) -> list[Sides]:
    """Return the parts of a line that have sides, as wide as there are any about as good."""
    best: Sides | None = None
    for line in (course, widened(small, course)):
        sides = find_sides(small, line, swells=True)
        if sides is None or float(np.mean(sides.firm > _FIRM)) < 0.3 or sides.mottled > _MOTTLED:
            continue
        if best is None or worth(sides) > 0.8 * worth(best):
            best = sides
    if best is None:
        return []
    again = find_sides(small, best.course, swells=True)
    return [] if again is None or again.mottled > _MOTTLED else good_parts(again)


def worth(sides: Sides | Ways) -> float:
    """Return how much a course looks like a hose: firm sides, much the same all along."""
    return float(np.mean(np.minimum(sides.firm, 3.0))) / (0.02 + sides.mottled)


def good_parts(sides: Sides) -> list[Sides]:
    """Cut off what has no sides: a gap as long as a crossing hose or clamp may stay inside."""
    width = sides.course.width_px
    good = sides.firm > _FIRM
    good = ndimage.binary_closing(np.pad(good, 1), np.ones(max(3, int(4 * width))))[1:-1] | good
    good = ndimage.binary_opening(np.pad(good, 1), np.ones(max(3, int(2 * width))))[1:-1]
    labels, count = ndimage.label(good)
    parts = []
    for index in range(1, count + 1):
        (at,) = np.nonzero(labels == index)
        radius = sides.course.radius[at]
        firm = sides.firm[at]
        uneven = float(np.std(radius) / np.mean(radius))
        if len(at) < _LEAST_LENGTH * width or np.mean(firm > _FIRM) < _LEAST_SHARE or uneven > _MOST_UNEVEN:
            continue
        course = Course(sides.course.points[at], radius, float(np.mean(firm)))
        parts.append(Sides(course, firm, uneven, sides.mottled))
    return parts


def _fresh(course: Course, taken: NDArray[np.uint8]) -> Course | None:
    """Return the longest part that no course found before covers; crossings do not cut."""
    at = course.points.round().astype(int)
    inside = (at[:, 0] >= 0) & (at[:, 1] >= 0) & (at[:, 0] < taken.shape[1]) & (at[:, 1] < taken.shape[0])
    seen = np.zeros(len(at), bool)
    seen[inside] = taken[at[inside, 1], at[inside, 0]] > 0
    own = ~seen
    own = ndimage.binary_closing(np.pad(own, 1), np.ones(max(3, int(4 * course.width_px))))[1:-1] | own
    labels, count = ndimage.label(own & inside)
    if count == 0:
        return None
    sizes = np.bincount(labels)[1:]
    (keep,) = np.nonzero(labels == 1 + int(np.argmax(sizes)))
    if len(keep) < _LEAST_LENGTH * course.width_px or np.mean(seen[keep]) > 0.4:
        return None
    return Course(course.points[keep], course.radius[keep], course.strength)


def nearest(courses: Sequence[Course], x: float, y: float) -> int | None:
    """Return which course a tap lies on, or within one width of; None where it lies on none."""
    best, choice = np.inf, None
    for index, course in enumerate(courses):
        away: Array = np.hypot(*(course.points - [x, y]).T)
        where = int(np.argmin(away))
        share = float(away[where] / (2 * course.radius[where]))
        if share < min(best, 1.5):
            best, choice = share, index
    return choice
