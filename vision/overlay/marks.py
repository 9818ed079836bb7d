"""What of a result's evidence can be drawn: the one gate between stored evidence and pixels.

Evidence may come from an archive, so anything may be missing or broken; what is
not finite, of another shape, or further from the photo than the photo is large,
is left out.  Nothing is ever guessed in its place.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Marks:
    """Evidence in pixels of the upright photo; None or empty where there is none.

    Attributes
    ----------
    start, end : (2,) array or None
        Front points of the band's upper edge and of the collar's rim.
    start_ring, end_ring : (N, 2) array or None
        Near arcs of the fitted rings.
    axis : (2, 2) array or None
    card : (4, 2) array or None
        Corners, clockwise.
    outlines, tags : tuple of (N, 2) arrays
        Outline segments; corners of leg tags.
    px_per_mm : float or None, > 0
    """

    start: Points | None = None
    end: Points | None = None
    start_ring: Points | None = None
    end_ring: Points | None = None
    axis: Points | None = None
    card: Points | None = None
    outlines: tuple[Points, ...] = ()
    tags: tuple[Points, ...] = ()
    px_per_mm: float | None = None


def usable_marks(evidence: Mapping[str, Any], width: int, height: int) -> Marks:
    """Return what can be drawn on a photo of `width` × `height` px."""

    def points(value: object, least: int, most: int | None = None) -> Points | None:
        found = _points(value)
        if found is None or len(found) < least or (most is not None and len(found) > most):
            return None
        near = (found > [-width, -height]) & (found < [2 * width, 2 * height])
        return found if near.all() else None

    def one(key: str) -> Points | None:
        value = evidence.get(key)
        found = points([value], 1, 1)
        return None if found is None else found[0]

    def several(key: str, least: int) -> tuple[Points, ...]:
        value = evidence.get(key)
        items: Iterable[object] = value.values() if isinstance(value, Mapping) else _items(value)
        return tuple(found for item in items if (found := points(item, least)) is not None)

    return Marks(
        start=one("from_px"),
        end=one("to_px"),
        start_ring=points(evidence.get("from_ring_px"), 2),
        end_ring=points(evidence.get("to_ring_px"), 2),
        axis=points(evidence.get("axis_px"), 2, 2),
        card=points(evidence.get("card_px"), 4, 4),
        outlines=several("outline_px", 2),
        tags=several("leg_tags_px", 3),
        px_per_mm=_positive(evidence.get("px_per_mm")),
    )


def _items(value: object) -> list[object]:
    return list(value) if isinstance(value, (list, tuple, np.ndarray)) else []


def _points(value: object) -> Points | None:
    try:
        found = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        return None
    right = found.ndim == 2 and found.shape[1] == 2 and bool(np.isfinite(found).all())
    return found if right else None


def _positive(value: object) -> float | None:
    number = value if isinstance(value, (int, float)) and not isinstance(value, bool) else 0.0
    return float(number) if 0 < number < float("inf") else None
