"""Which part of the photo the picture shows: all of it, or what was measured with room beside it.

A card at full height in the photo leaves the strut a sixth of the width: 60 px on
a phone.  The picture then closes in on what was measured, and a small map shows
where in the whole photo that is.
"""

import numpy as np

from vision.overlay.marks import Marks, Points
from vision.overlay.window import Window

TALLEST = 1.6
"""Greatest height of the picture over the sheet's width."""

MOST_ENLARGED = 4.0
_CLOSE_IN_BELOW = 0.5  # share of the photo's area
_AWAY, _CARD_SIDE, _OTHER = 0.95, 0.12, 0.15  # room beside what was measured, in its own sizes


def view_of(photo_width: int, photo_height: int, sheet_width: int, marks: Marks | None = None) -> Window:
    """Return the window of the photo that the picture shows, as wide as the sheet allows.

    Parameters
    ----------
    photo_width, photo_height, sheet_width : int, > 0
    marks : Marks, optional
        What may be closed in on; with None, or without both ends, the whole photo is shown.
    """
    left, top, width, height = 0, 0, photo_width, photo_height
    close = None if marks is None else _close_frame(marks, photo_width, photo_height)
    if close is not None:
        left, top, width, height = close
    scale = min(sheet_width / width, TALLEST * sheet_width / height, MOST_ENLARGED)
    return Window(left, top, width, height, max(1, round(width * scale)), max(1, round(height * scale)))


def _close_frame(marks: Marks, photo_width: int, photo_height: int) -> tuple[int, int, int, int] | None:
    """Return left, top, width, height of the frame to close in on; None where little would be gained."""
    if marks.start is None or marks.end is None:
        return None
    known = [marks.start[None], marks.end[None], marks.start_ring, marks.end_ring, marks.axis, marks.card]
    points = np.vstack([part for part in (*known, *marks.outlines, *marks.tags) if part is not None])
    low, high = points.min(axis=0), points.max(axis=0)
    size = np.maximum(high - low, 16.0)
    before, after = _room(marks)
    low, high = low - before * size, high + after * size
    # Neither a slit nor taller than wide by more than a little: the sheet has the phone's height to fit.
    width, height = high - low
    missing = np.maximum([height / 1.2 - width, 0.7 * width - height], 0)
    low = low - missing * before / (before + after)
    high = high + missing * after / (before + after)
    limit = np.array([photo_width, photo_height], dtype=np.float64)
    span = np.minimum(np.ceil(high - low), limit)
    corner = np.clip(np.floor(low), 0, limit - span)
    if span.prod() >= _CLOSE_IN_BELOW * limit.prod():
        return None
    left, top, wide, high_px = (int(number) for number in (*corner, *span))
    return left, top, wide, high_px


def _room(marks: Marks) -> tuple[Points, Points]:
    """Return the room before and after what was measured, along x and y, as shares of its size."""
    before, after = np.full(2, _OTHER), np.full(2, _OTHER)
    if marks.card is None or marks.start is None or marks.end is None:
        return before + 0.3, after + 0.3
    to_card = marks.card.mean(axis=0) - (marks.start + marks.end) / 2
    axis = int(np.argmax(np.abs(to_card)))
    away, near = (before, after) if to_card[axis] > 0 else (after, before)
    away[axis], near[axis] = _AWAY, _CARD_SIDE
    return before, after
