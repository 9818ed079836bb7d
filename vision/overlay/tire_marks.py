"""What was read on a tire, drawn on its picture; and which stored evidence can be drawn at all."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from vision.overlay.marks import Points
from vision.overlay.picture import on_sheet
from vision.overlay.strokes import Image, Stroke, dashes, draw
from vision.overlay.window import Window, shown


@dataclass(frozen=True, eq=False)
class TireMarks:
    """Evidence in pixels of the upright photo; None where there is none.

    Attributes
    ----------
    flange, outline : (N, 2) array or None
    axle, foot : (2,) array or None
    contact, line, level, tire_mark, rim_mark : (2, 2) array or None
        Ends.
    card : (4, 2) array or None
        Corners of a card held against the wheel.
    """

    flange: Points | None = None
    outline: Points | None = None
    axle: Points | None = None
    foot: Points | None = None
    contact: Points | None = None
    line: Points | None = None
    level: Points | None = None
    tire_mark: Points | None = None
    rim_mark: Points | None = None
    card: Points | None = None


def usable_tire_marks(evidence: Sequence[Mapping[str, Any]], width: int, height: int) -> TireMarks:
    """Return what can be drawn on a photo of `width` × `height` px; evidence may come from an archive."""

    def points(key: str, least: int, most: int | None = None) -> Points | None:
        for one in evidence:
            try:
                found = np.asarray(one.get(key), dtype=np.float64)
            except (TypeError, ValueError):
                continue
            right = found.ndim == 2 and found.shape[1:] == (2,) and bool(np.isfinite(found).all())
            if not right or len(found) < least or (most is not None and len(found) > most):
                continue
            if ((found > [-width, -height]) & (found < [2 * width, 2 * height])).all():
                return found
        return None

    def one(key: str) -> Points | None:
        for part in evidence:
            found = _point(part.get(key), width, height)
            if found is not None:
                return found
        return None

    return TireMarks(
        points("flange_px", 8), points("outline_px", 3), one("axle_px"), one("foot_px"),
        points("contact_px", 2, 2), points("line_px", 2, 2), points("level_px", 2, 2),
        points("tire_mark_px", 2, 2), points("rim_mark_px", 2, 2), points("card_px", 4, 4),
    )  # fmt: skip


def _point(value: object, width: int, height: int) -> Points | None:
    """Return one point (2,) where it is finite and near the photo."""
    try:
        found = np.asarray(value, dtype=np.float64)
    except (TypeError, ValueError):
        return None
    if found.shape != (2,) or not np.isfinite(found).all():
        return None
    near = (found > [-width, -height]) & (found < [2 * width, 2 * height])
    return found if near.all() else None


def paint_tire(pixels: Image, view: Window, marks: TireMarks, width: int) -> Image:
    """Return the picture strip, (view.shown_height, width, 3) uint8 RGB; `pixels` stay as they are."""
    picture = shown(pixels, view)
    draw_tire_marks(picture, view, marks, float(width))
    return on_sheet(picture, view, width)


def draw_tire_marks(
    picture: Image, view: Window, marks: TireMarks, unit: float, *, fine: bool = False
) -> None:
    """Draw thin courses first, what was read over them, in place; `fine` hides less of what lies below."""
    thin, halo = 0.0018 * unit, 0.0014 * unit

    def on(points: Points | None) -> list[Points]:
        return [] if points is None else [view.points(points)]

    courses = [*on(marks.flange), *(np.vstack([card, card[:1]]) for card in on(marks.card))]
    # The outline is shown as points found, for it may have gaps.
    ticks = [part for points in on(marks.outline) for part in _ticks(points, 0.004 * unit)]
    axis: list[Points] = []
    if marks.axle is not None and marks.foot is not None:
        ends = view.points(np.array([marks.axle, marks.foot]))
        axis = dashes(ends, [part * unit for part in (0.03, 0.01, 0.005, 0.01)])
    cross = [] if marks.axle is None else _cross(view.points(marks.axle), 0.014 * unit)
    strokes = [Stroke(points, thin, halo) for points in (*courses, *ticks, *axis, *cross)]
    draw(picture, strokes, opacity=0.85)
    firm, wide = (thin, 0.0) if fine else (0.0034 * unit, 0.0024 * unit)
    read = [*on(marks.contact), *on(marks.line), *on(marks.tire_mark), *on(marks.rim_mark)]
    level = [part for points in on(marks.level) for part in dashes(points, [0.016 * unit, 0.012 * unit])]
    draw(picture, [Stroke(points, thin, halo) for points in level], opacity=0.9)
    bars = [bar for points in read for bar in _end_bars(points, 0.012 * unit)]
    draw(picture, [Stroke(points, firm, wide) for points in (*read, *bars)])


def _ticks(points: Points, half: float) -> list[Points]:
    middle = points.mean(axis=0)
    out = points - middle
    out /= np.maximum(np.linalg.norm(out, axis=1, keepdims=True), 1e-9)
    return [np.array([p - half * d, p + half * d]) for p, d in zip(points[::2], out[::2], strict=True)]


def _cross(at: Points, half: float) -> list[Points]:
    return [np.array([at - d, at + d]) for d in half * np.eye(2)]


def _end_bars(points: Points, half: float) -> Iterable[Points]:
    """Bars across both ends: where a course was read, not how far the thing itself goes."""
    along = points[1] - points[0]
    size = float(np.hypot(*along))
    if size < 1e-6:
        return
    across = np.array([-along[1], along[0]]) / size * half
    for end in points:
        yield np.array([end - across, end + across])
