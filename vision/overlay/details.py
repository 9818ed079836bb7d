"""Magnified details around both ends, and a map where the picture shows only part of the photo.

The fitted arc is thin, dashed and half transparent, so that the edge under it can be judged.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from vision.overlay.dimension import axis_direction
from vision.overlay.lettering import CAP_HEIGHT, Word, length
from vision.overlay.marks import Marks, Points
from vision.overlay.palette import SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image, Stroke, dashes, draw
from vision.overlay.window import Window, shown

WIDTH_MM = 24.0
_LEAST_MAGNIFIED = 3.0
_SHARE_WITHOUT_SCALE = 0.1  # of the photo's width, where px per mm are not known
_ASPECT = 0.75
_LEAST_PX = 8
_MAP_SHARE = 0.2  # of the sheet's width
_GAP = 0.025


@dataclass(frozen=True, eq=False)
class End:
    """One end of the span: its front point, fitted arc if there is one, direction of the strut, name."""

    point: Points
    ring: Points | None
    along: Points
    name: str


def details(pixels: Image, view: Window, marks: Marks, width: int) -> Strip:
    """Return the strip of details; its height is 0 where neither end is known."""
    strip = Strip(width)
    ends = _ends(marks)
    if not ends:
        return strip
    strip.space(0.012)
    partial = (view.height, view.width) != pixels.shape[:2]
    gap = _GAP * width
    room = strip.inner - (_MAP_SHARE * width + gap if partial else 0)
    wide = round((room - gap) / 2)
    top, bottom = round(strip.y), round(strip.y) + round(wide * _ASPECT)
    size, small = strip.size(0.034), strip.size(0.03)
    baseline = bottom + 0.016 * width + size * CAP_HEIGHT
    for place, end in enumerate(ends):
        left = round(strip.margin + place * (wide + gap))
        window = window_about(end.point, view, marks.px_per_mm, wide)
        strip.painters.append(_detail(pixels, window, end, (left, top), width))
        zoom = f"x {window.scale / view.scale:.1f}"
        strip.words.append(Word(end.name, left, baseline, size))
        zoom_x = left + length(end.name, size) + 0.016 * width
        strip.words.append(Word(zoom, zoom_x, baseline, small, SOFT_INK))
    if partial:
        left = round(strip.width - strip.margin - _MAP_SHARE * width)
        strip.painters.append(_map(pixels, view, (left, top, bottom - top), width))
        strip.words.append(Word("whole photo", left, baseline, small, SOFT_INK))
    strip.y = baseline + 0.026 * width
    return strip


def _ends(marks: Marks) -> list[End]:
    along = axis_direction(marks)
    known = ((marks.start, marks.start_ring, "band edge"), (marks.end, marks.end_ring, "collar rim"))
    return [End(point, ring, along, name) for point, ring, name in known if point is not None]


def window_about(point: Points, view: Window, px_per_mm: float | None, wide: int) -> Window:
    """Return the window: `WIDTH_MM` wide, less where that would magnify too little."""
    asked = view.width * _SHARE_WITHOUT_SCALE if px_per_mm is None else WIDTH_MM * px_per_mm
    most = wide / (_LEAST_MAGNIFIED * view.scale)
    width = max(_LEAST_PX, round(min(asked, most)))
    height = max(_LEAST_PX, round(width * _ASPECT))
    left, top = np.round(point - (np.array([width, height]) - 1) / 2).astype(int)
    return Window(int(left), int(top), width, height, wide, round(wide * _ASPECT))


def _detail(
    pixels: Image, window: Window, end: End, place: tuple[int, int], unit: float
) -> Callable[[Image], None]:
    left, top = place

    def paint(image: Image) -> None:
        detail = shown(pixels, window)
        _draw_fit(detail, window, end, unit)
        image[top : top + window.shown_height, left : left + window.shown_width] = detail

    return paint


def _draw_fit(detail: Image, window: Window, end: End, unit: float) -> None:
    """Draw the arc in dashes (in the gaps lies the bare edge) and jaws that leave the edge free."""
    width = unit / 800
    if end.ring is not None:
        dash = 0.024 * unit
        arc = dashes(window.points(end.ring), [dash, dash])
        draw(detail, [Stroke(part, width, width) for part in arc], opacity=0.6)
    point = window.points(end.point)
    free, far = 0.022 * unit * end.along, 0.06 * unit * end.along
    jaws = [np.array([point + way * free, point + way * far]) for way in (-1, 1)]
    draw(detail, [Stroke(jaw, 2 * width, 1.5 * width) for jaw in jaws], opacity=0.85)


def _map(pixels: Image, view: Window, place: tuple[int, int, int], unit: float) -> Callable[[Image], None]:
    left, top, tall = place
    rows, columns = pixels.shape[:2]
    scale = min(_MAP_SHARE * unit / columns, tall / rows)
    whole = Window(0, 0, columns, rows, max(1, int(columns * scale)), max(1, int(rows * scale)))
    corners = np.array([(0, 0), (view.width, 0), (view.width, view.height), (0, view.height), (0, 0)])

    def paint(image: Image) -> None:
        # A few photo pixels to one of the map will do, and save averaging the whole photo.
        step = max(1, int(0.25 / scale))
        thinned = np.ascontiguousarray(pixels[::step, ::step])
        high, wide = thinned.shape[:2]
        small = shown(thinned, Window(0, 0, wide, high, whole.shown_width, whole.shown_height))
        frame = whole.points(corners + np.array([view.left, view.top]) - 0.5)
        draw(small, [Stroke(frame, unit / 400, unit / 500)])
        image[top : top + whole.shown_height, left : left + whole.shown_width] = small

    return paint
