"""A hose that a person tapped: once, or at some places along it in their order."""

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from vision.hose.course import Array, Course, evenly
from vision.hose.find import LEAST_WIDTH_PX, good_parts, searched_size, worth
from vision.hose.pairs import DIRECTIONS, edge_pairs
from vision.hose.sides import WIDENS, Sides, Ways, find_sides, outermost, ways_along, widened
from vision.hose.track import both_ways
from vision.photo import Photo

_WIDTHS = np.array([4.0, 4.9, 6.0, 7.3, 9.0, 11.0, 13.4])
_TRIES = 8
_AS_GOOD, _EVEN_WITHIN = 0.8, 0.6  # of the narrower one's worth


def tapped_hose(photo: Photo, taps: Array, small: NDArray[np.uint8] | None = None) -> Course | None:
    """Return the hose through the taps (N, 2), px of the photo; None where none is seen there.

    `small` is what `searched_size` gives, for the next hose of the same photo.
    """
    width = photo.pixels.shape[1]
    small = searched_size(photo) if small is None else small
    scale = small.shape[1] / width
    here = (np.asarray(taps, np.float64) + 0.5) * scale - 0.5
    lines = _between(here, LEAST_WIDTH_PX * scale) if len(here) > 1 else _through(small, here[0])
    # The wider of two about as good: the narrower lies between streak and side.
    lines.sort(key=lambda line: line.width_px)
    best: Ways | None = None
    for ways in ways_along(small, lines, swells=len(here) == 1):
        if ways is None:
            continue
        # One no more mottled within than a narrower one is the hose, whose streak that was.
        enough = _AS_GOOD if best is None or ways.mottled > best.mottled else _EVEN_WITHIN
        if (best is None or worth(ways) > enough * worth(best)) and (
            len(here) > 1 or _at(ways.sides(), here[0])
        ):
            best = ways
    if best is None:
        return None
    found = best.sides()
    again = find_sides(small, found.course) or found
    if len(here) > 1:
        again = outermost(small, again, here)
    parts = [again] if len(here) > 1 else good_parts(again)
    if not parts:
        return None
    near = min(parts, key=lambda part: float(np.hypot(*(part.course.points - here[0]).T).min()))
    return near.course.scaled(1 / scale)


def _at(sides: Sides, tap: Array) -> bool:
    """Whether a way lies where it was tapped; one between several taps cannot but do so."""
    return bool(np.hypot(*(sides.course.points - tap).T).min() < 0.8 * sides.course.width_px)


def _between(taps: Array, least: float) -> list[Course]:
    """Ways through all taps, as a spline, at every width that may be `least` px and more."""
    way = np.concatenate([[0.0], np.cumsum(np.maximum(np.hypot(*np.diff(taps, axis=0).T), 1e-3))])
    # Through the taps without corners: between them a hose bends as evenly as it can.
    spline = make_interp_spline(way, taps, k=min(3, len(taps) - 1))
    line, _ = evenly(spline(np.linspace(0.0, way[-1], max(2, int(way[-1])))))
    widths = [wide * scale for scale in (1, 2, 4) for wide in _WIDTHS[::2] if WIDENS * wide * scale > least]
    return [Course(line, np.full(len(line), wide / 2)) for wide in widths]


def _through(small: NDArray[np.uint8], tap: Array) -> list[Course]:
    """Ways followed from firm pairs about one tap."""
    found: list[tuple[float, Course]] = []
    picture, scale = small, 1.0
    while min(picture.shape[:2]) > 60:
        pairs = edge_pairs(picture, _WIDTHS if scale == 1 else _WIDTHS[3:])
        x, y = ((tap + 0.5) / scale - 0.5).round().astype(int)
        reach = 3
        x0, y0 = max(x - reach, 0), max(y - reach, 0)
        near = pairs.score[:, y0 : y + reach + 1, x0 : x + reach + 1]
        if near.size:
            per = near.reshape(DIRECTIONS, -1)
            for direction in np.argsort(-per.max(axis=1))[:4]:
                row, column = np.unravel_index(int(np.argmax(per[direction])), near.shape[1:])
                at = (x0 + int(column), y0 + int(row))
                line, wide, mean = both_ways(pairs, *at, int(direction))
                if len(line) >= 3 * wide:
                    points = (line + 0.5) * scale - 0.5
                    found.append(
                        (mean * len(line) ** 0.5, Course(points, np.full(len(points), wide * scale / 2)))
                    )
        half = (picture.shape[1] // 2, picture.shape[0] // 2)
        picture = np.asarray(cv2.resize(picture, half, interpolation=cv2.INTER_AREA), np.uint8)
        scale *= 2
    found.sort(key=lambda pair: -pair[0])
    tries = [course for _, course in found[:_TRIES]]
    return tries + [widened(small, course) for course in tries]
