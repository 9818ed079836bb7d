"""A searched hose as `vision.hose.to_json` keeps it: its course again, without searching again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from vision.hose.course import Array, Course, evenly, normals

_NORMALS_OVER = 0.5  # widths, as `strip_along` takes them
_LEAST_APART_PX = 0.05


@dataclass(frozen=True, eq=False)
class StoredHose:
    """One hose of a stored result.

    Attributes
    ----------
    course : Course
        Through the stored points, as wide everywhere as the stored width.
    diameter_mm : float or None
        As told.
    blind : sequence of (from, to)
        Stretches not searched at all, as shares of the course.
    """

    course: Course
    diameter_mm: float | None
    blind: Sequence[tuple[float, float]]

    @property
    def px_per_mm(self) -> float | None:
        """By its own diameter; None where that is not told."""
        return None if not self.diameter_mm else self.course.width_px / self.diameter_mm


def stored_hose(told: Mapping[str, Any]) -> StoredHose:
    """Return a hose of a stored result's list ``hoses``.

    Raises
    ------
    ValueError
        Its centre line or width is none.
    """
    line = np.array(told["centre_line_px"], np.float64)
    width = float(told["width_px"])
    if line.ndim != 2 or line.shape[1] != 2 or len(line) < 2 or not np.isfinite(line).all() or not width > 0:
        msg = (
            f"a stored hose has a centre line of two points or more and a width above 0; this one has "
            f"{len(line)} points and {width:g} px: search the photo again"
        )
        raise ValueError(msg)
    points, _ = evenly(_through(line))
    radius = np.full(len(points), width / 2)
    blind = [(float(start), float(end)) for start, end in told.get("not_searched", ())]
    return StoredHose(Course(points, radius), told.get("diameter_mm"), blind)


def laid_along(course: Course, places: Array) -> Array:
    """Return where places of the photo lie on a hose laid straight.

    Parameters
    ----------
    places : (N, 2) array
        px of the photo.

    Returns
    -------
    (N, 2) array
        px along the course from its first end; px across it, to the right of the way along positive.
    """
    away = places[:, None] - course.points[None]
    nearest = np.argmin((away**2).sum(axis=2), axis=1)
    normal = normals(course.points, max(2.0, _NORMALS_OVER * course.width_px))[nearest]
    off = places - course.points[nearest]
    tangent = np.stack([normal[:, 1], -normal[:, 0]], axis=1)
    return np.stack([nearest + (off * tangent).sum(axis=1), (off * normal).sum(axis=1)], axis=1)


def _through(line: Array) -> Array:
    """A smooth line through the stored points, which are a quarter of a width apart."""
    keep = np.concatenate([[True], np.hypot(*np.diff(line, axis=0).T) > _LEAST_APART_PX])
    line = line[keep]
    if len(line) < 4:
        return line
    at = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    dense = np.linspace(0.0, at[-1], int(2 * at[-1]) + 2)
    return np.asarray(CubicSpline(at, line)(dense), np.float64)
