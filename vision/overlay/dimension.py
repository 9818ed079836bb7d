"""The dimension beside the piston: ends, witness lines, arrows and where the value may stand.

All points are px of the image drawn on.  The dimension stands on the side away
from the card and beyond the widest ring, so that it covers nothing that is read.
"""

from dataclasses import dataclass

import numpy as np

from vision.overlay.marks import Marks, Points
from vision.overlay.strokes import Stroke

Box = tuple[float, float, float, float]


@dataclass(frozen=True, eq=False)
class Frame:
    """Where the dimension stands.

    Attributes
    ----------
    start, end : (2,) array
        The ends of the measured span.
    along, out : (2,) arrays
        Unit vectors from start to end, and across it towards the dimension line.
    offset : float
        From the span to the dimension line, px.
    unit, reach : float
        Widths of strokes are shares of `unit` (the sheet's width), their lengths of `reach`, which is
        less where the span is short.
    """

    start: Points
    end: Points
    along: Points
    out: Points
    offset: float
    unit: float
    reach: float

    @property
    def ends(self) -> tuple[Points, Points]:
        """Ends of the dimension line."""
        return self.start + self.offset * self.out, self.end + self.offset * self.out


def axis_direction(marks: Marks) -> Points:
    """Return the unit vector along the strut: the axis, else the span, else upright."""
    span = None if marks.start is None or marks.end is None else (marks.start, marks.end)
    for pair in (marks.axis, span):
        if pair is not None:
            step = np.asarray(pair[1] - pair[0])
            size = float(np.hypot(*step))
            if size > 1e-6:
                return np.asarray(step / size)
    return np.array([0.0, -1.0])


def dimension_frame(marks: Marks, size: tuple[int, int], unit: float) -> Frame | None:
    """Return where the dimension stands on a picture of `size` (width, height); None without a span."""
    if marks.start is None or marks.end is None:
        return None
    length = float(np.hypot(*(marks.end - marks.start)))
    if length < 1e-6:
        return None
    along = (marks.end - marks.start) / length
    across = np.array([-along[1], along[0]])
    middle = (marks.start + marks.end) / 2
    reach = min(unit, 4 * length)
    offset = _half_width(marks, middle, across, length) + 0.05 * reach
    if marks.card is None:
        sides = sorted([across, -across], key=lambda side: -_room(middle, side, size))
    else:
        to_card = marks.card.mean(axis=0) - middle
        sides = sorted([across, -across], key=lambda side: float(to_card @ side))
    air = 0.02 * unit
    out = next((side for side in sides if _room(middle, side, size) > offset + air), sides[0])
    offset = max(min(offset, _room(middle, out, size) - air), 0.0)
    return Frame(marks.start, marks.end, along, out, offset, unit, reach)


def _half_width(marks: Marks, middle: Points, across: Points, length: float) -> float:
    """Return how far the widest known part reaches from the span; a share of the span where none is."""
    known = [part for part in (marks.start_ring, marks.end_ring, *marks.outlines) if part is not None]
    if not known:
        return 0.35 * length
    return float(np.abs((np.vstack(known) - middle) @ across).max())


def _room(point: Points, side: Points, size: tuple[int, int]) -> float:
    """Return the way from a point to the picture's border in a direction, px."""
    ways = [
        ((limit - 1 if step > 0 else 0) - start) / step
        for start, step, limit in zip(point, side, size, strict=True)
        if abs(step) > 1e-9
    ]
    return float(max(min(ways), 0.0))


def end_mark(point: Points, outward: Points, unit: float, reach: float) -> list[Stroke]:
    """Return a T: a bar across the strut at the ring, its stem along `outward` away from the span."""
    across = np.array([-outward[1], outward[0]]) * 0.034 * reach
    stem = outward * 0.034 * reach
    width, halo = 0.0052 * unit, 0.0034 * unit
    return [
        Stroke(np.array([point - across, point + across]), width, halo),
        Stroke(np.array([point, point + stem]), width, halo),
    ]


def dimension_strokes(frame: Frame) -> list[Stroke]:
    """Return witness lines, dimension line and arrowheads; arrows stand outside a short span."""
    reach, width, halo = frame.reach, 0.0032 * frame.unit, 0.0024 * frame.unit
    first, second = frame.ends
    strokes = []
    for foot, head in ((frame.start, first), (frame.end, second)):
        begin = foot + min(0.05 * reach, 0.5 * frame.offset) * frame.out
        strokes.append(Stroke(np.array([begin, head + 0.018 * reach * frame.out]), width, halo))
    arrow = 0.036 * reach
    inside = float(np.hypot(*(second - first))) > 3 * arrow
    tail = (0.0 if inside else 2.2 * arrow) * frame.along
    strokes.append(Stroke(np.array([first - tail, second + tail]), width, halo))
    for tip, way in ((first, 1.0), (second, -1.0)):
        back = tip + (way if inside else -way) * arrow * frame.along
        wing = 0.22 * arrow * frame.out
        strokes.append(Stroke(np.array([tip, back + wing, back - wing]), 0.0, halo, filled=True))
    return strokes


def label_places(frame: Frame, label: tuple[float, float]) -> list[Points]:
    """Return where the middle of a label of (width, height) px may stand, the best place first.

    Beside the dimension line, else beyond one of its ends.
    """
    first, second = frame.ends
    half = np.array(label) / 2

    def away(way: Points) -> Points:
        return way * (0.028 * frame.unit + float(np.abs(way) @ half))

    tail = 0.05 * frame.reach * frame.along
    return [
        (first + second) / 2 + away(frame.out),
        first - tail + away(-frame.along),
        second + tail + away(frame.along),
    ]


def is_free(middle: Points, label: tuple[float, float], size: tuple[int, int], kept_free: list[Box]) -> bool:
    """Return whether a label lies well within a picture of `size` and covers none of the boxes."""
    half = np.array(label) / 2
    air = 0.1 * label[1]
    low, high = middle - half, middle + half
    inside = bool((low > air).all() and (high < np.array(size) - 1 - air).all())
    box = (float(low[0]), float(low[1]), float(high[0]), float(high[1]))
    return inside and not any(_overlap(box, other) for other in kept_free)


def _overlap(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
