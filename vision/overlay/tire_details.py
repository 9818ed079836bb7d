"""Magnified places of a tire's picture: the line with level, and the mark where tire and rim meet."""

import numpy as np

from vision.overlay.marks import Points
from vision.overlay.palette import SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image
from vision.overlay.tire_marks import TireMarks, draw_tire_marks
from vision.overlay.window import Window, shown

_HIGH = 0.62  # of a detail's width
_GAP = 0.02
_SMALL = 0.03


def tire_details(pixels: Image, marks: TireMarks, view: Window, width: int) -> Strip:
    """Return the strip with the details side by side; its height is 0 where there are none."""
    del view
    strip = Strip(width)
    wanted: list[tuple[str, Points]] = []
    if marks.line is not None:
        around = marks.line if marks.level is None else np.vstack([marks.line, marks.level])
        wanted.append(("line, and level dashed", around))
    if marks.tire_mark is not None and marks.rim_mark is not None:
        wanted.append(("mark: tire and rim", np.vstack([marks.tire_mark, marks.rim_mark])))
    if not wanted:
        return strip
    each = int((strip.inner - _GAP * width) / 2)
    high = int(_HIGH * each)
    strip.space(0.014)
    top = round(strip.y)
    for place, (_, around) in enumerate(wanted):
        left = round(strip.margin + place * (each + _GAP * width))
        window = _window(around, each, high)

        def paint(image: Image, window: Window = window, left: int = left) -> None:
            part = shown(pixels, window)
            draw_tire_marks(part, window, marks, 0.7 * width, fine=True)
            image[top : top + part.shape[0], left : left + part.shape[1]] = part

        strip.painters.append(paint)
    strip.y = top + high + 0.006 * width
    y = strip.y
    for place, (label, _) in enumerate(wanted):
        strip.y = y
        strip.line(label, strip.size(_SMALL), SOFT_INK, x=strip.margin + place * (each + _GAP * width))
    return strip


def _window(around: Points, wide: int, high: int) -> Window:
    low, top = around.min(axis=0), around.max(axis=0)
    middle = (low + top) / 2
    need = np.maximum(top - low, 12.0) * 1.35
    width = max(float(need[0]), float(need[1]) * wide / high)
    size = np.array([width, width * high / wide])
    corner = np.floor(middle - size / 2).astype(int)
    span = np.maximum(np.ceil(size).astype(int), 4)
    return Window(int(corner[0]), int(corner[1]), int(span[0]), int(span[1]), wide, high)
