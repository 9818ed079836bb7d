"""The photo, or the part of it that was measured, with the marks on it."""

from dataclasses import dataclass

import numpy as np
from PIL import Image as PilImage

from vision.overlay.banner import value_texts
from vision.overlay.dimension import (
    Box,
    Frame,
    axis_direction,
    dimension_frame,
    dimension_strokes,
    end_mark,
    is_free,
    label_places,
)
from vision.overlay.lettering import CAP_HEIGHT, Word, length, letter
from vision.overlay.marks import Marks, Points
from vision.overlay.palette import HALO, MARGIN, MARK
from vision.overlay.strokes import Image, Stroke, dashes, draw
from vision.overlay.window import Window, shown
from vision.results import Reading, Result

_LABEL_CAPS = (1 / 18, 1 / 22, 1 / 26)  # heights of capitals over the sheet's width
_PLATE = 0.7  # opacity of the ground under a label
_LABEL_STEP = 1.2


def paint_picture(pixels: Image, view: Window, marks: Marks, text: str, width: int) -> Image:
    """Return the picture strip, (view.shown_height, width, 3) uint8 RGB; `pixels` stay as they are.

    Parameters
    ----------
    pixels : (H, W, 3) uint8 array
        The whole photo.
    view : Window
        What of it is shown.
    marks : Marks
        In px of the photo.
    text : str
        Value ± U to stand beside the dimension; empty for none.
    width : int
        Of the sheet, px.
    """
    picture = shown(pixels, view)
    _draw_marks(picture, _in_view(marks, view), text, float(width))
    return on_sheet(picture, view, width)


def on_sheet(picture: Image, view: Window, width: int) -> Image:
    """Return a picture in the middle of a strip (view.shown_height, width, 3) as wide as the sheet."""
    if view.shown_width == width:
        return picture
    strip: Image = np.full((view.shown_height, width, 3), MARGIN, dtype=np.uint8)
    left = left_of(view, width)
    strip[:, left : left + view.shown_width] = picture
    return strip


def left_of(view: Window, width: int) -> int:
    """Return how much is free at the left of a picture narrower than the sheet, px."""
    return (width - view.shown_width) // 2


def label_text(result: Result, unit: str) -> str:
    """Return what stands beside the dimension."""
    return value_texts(result, unit)[0] if isinstance(result, Reading) else ""


def _in_view(marks: Marks, view: Window) -> Marks:
    def one(points: Points | None) -> Points | None:
        return None if points is None else view.points(points)

    return Marks(
        start=one(marks.start),
        end=one(marks.end),
        start_ring=one(marks.start_ring),
        end_ring=one(marks.end_ring),
        axis=one(marks.axis),
        card=one(marks.card),
        outlines=tuple(map(view.points, marks.outlines)),
        tags=tuple(map(view.points, marks.tags)),
        px_per_mm=marks.px_per_mm,
    )


def _draw_marks(picture: Image, marks: Marks, text: str, unit: float) -> None:
    draw(picture, _thin_strokes(marks, unit), opacity=0.8)
    along = axis_direction(marks)
    frame = dimension_frame(marks, (picture.shape[1], picture.shape[0]), unit)
    # The axis may have been stored from either end; the stems of the T's point away from the span.
    turn = 1.0 if frame is None or frame.along @ along >= 0 else -1.0
    reach = unit if frame is None else frame.reach
    strokes = [] if frame is None else dimension_strokes(frame)
    if marks.start is not None:
        strokes += end_mark(marks.start, -turn * along, unit, reach)
    if marks.end is not None:
        strokes += end_mark(marks.end, turn * along, unit, reach)
    draw(picture, strokes)
    if frame is not None and text:
        _label(picture, frame, marks, text)


def _thin_strokes(marks: Marks, unit: float) -> list[Stroke]:
    width, halo = 0.002 * unit, 0.0016 * unit
    lines = [np.vstack([p, p[:1]]) for p in (marks.card, *marks.tags) if p is not None]
    lines += [arc for arc in (marks.start_ring, marks.end_ring) if arc is not None]
    lines += marks.outlines
    if marks.axis is not None:
        # A centre line as drawings have it: long dash, short dash.
        lines += dashes(marks.axis, [part * unit for part in (0.04, 0.012, 0.006, 0.012)])
    return [Stroke(points, width, halo) for points in lines]


def _label(picture: Image, frame: Frame, marks: Marks, text: str) -> None:
    """Letter the value in two lines where it covers nothing that was measured.

    Nowhere, if there is no such place: the banner tells the value anyway.
    """
    value, doubt = text.split(" ± ")
    lines = [value, f"± {doubt}"]
    size = (picture.shape[1], picture.shape[0])
    kept_free = _kept_free(marks, frame)
    labels = [_label_of(lines, cap, frame.unit) for cap in _LABEL_CAPS]
    # Smaller beside the dimension line is better than larger elsewhere.
    for rank in range(len(label_places(frame, labels[0].box))):
        for label in labels:
            place = label_places(frame, label.box)[rank]
            if is_free(place, label.box, size, kept_free):
                # Light letters over bright metal cannot be read, whatever their halo.
                draw(picture, [Stroke(label.plate(place), 0.0, 0.0, filled=True)], _PLATE, HALO)
                lettered = PilImage.fromarray(picture)
                letter(lettered, label.words(place))
                picture[:] = np.asarray(lettered)
                return


@dataclass(frozen=True)
class _Label:
    lines: list[str]
    letters: int
    halo: int
    box: tuple[float, float]

    def plate(self, middle: Points) -> Points:
        """Return the corners (4, 2) of the ground that the letters stand on, px."""
        half = np.array(self.box) / 2 + 0.25 * self.letters
        return np.asarray(middle + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]))

    def words(self, middle: Points) -> list[Word]:
        left, top = middle - np.array(self.box) / 2 + self.halo
        first = top + self.letters * CAP_HEIGHT
        return [
            Word(text, left, first + row * _LABEL_STEP * self.letters, self.letters, MARK, self.halo, HALO)
            for row, text in enumerate(self.lines)
        ]


def _label_of(lines: list[str], cap: float, unit: float) -> _Label:
    letters = max(6, round(cap * unit / CAP_HEIGHT))
    halo = max(1, round(letters / 16))
    wide = max(length(text, letters) for text in lines) + 2 * halo
    high = (_LABEL_STEP * (len(lines) - 1) + CAP_HEIGHT) * letters + 2 * halo
    return _Label(lines, letters, halo, (wide, high))


def _kept_free(marks: Marks, frame: Frame) -> list[Box]:
    """Return boxes that no label may cover: card, rings, outlines, tags and both ends."""
    air = 0.035 * frame.reach
    known = [marks.card, marks.start_ring, marks.end_ring, *marks.outlines, *marks.tags]
    boxes = [(*p.min(axis=0), *p.max(axis=0)) for p in known if p is not None]
    boxes += [(*(end - air), *(end + air)) for end in (frame.start, frame.end)]
    return [(float(a), float(b), float(c), float(d)) for a, b, c, d in boxes]
