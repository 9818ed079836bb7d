"""A card as a list of primitives: what measures, from its definition alone."""

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.card.parts import COPY_IDS, Card, Checker, FloatArray, rectangle
from vision.card.primitives import Box, Disc, Primitive, Shape
from vision.errors import CardError

_MODULES = 8  # a 36h11 tag: 6 × 6 bits inside a black border of one module


def card_primitives(card: Card, copy: int) -> list[Primitive]:
    """Return the measuring features of copy number `copy` of `card`.

    A card without a copy tag is drawn without the number.

    Raises
    ------
    CardError
        `copy` is no copy number.
    """
    if copy not in COPY_IDS:
        msg = f"copy {copy} of card {card.name}: copy numbers go from {COPY_IDS[0]} to {COPY_IDS[-1]}."
        raise CardError(msg)
    drawn: list[Primitive] = [_checker(checker) for checker in card.checkers]
    for marker in card.markers:
        drawn += tag_primitives(marker.id, marker.corners_mm)
    if card.copy_tag is not None:
        drawn += tag_primitives(copy, card.copy_tag.corners_mm)
    drawn += [Disc(*dot.xy_mm, dot.diameter_mm) for dot in card.dots]
    drawn += [Box(*patch.rect_mm, grey=patch.reflectance) for patch in card.wedge]
    return drawn


def tag_primitives(number: int, corners_mm: FloatArray) -> list[Primitive]:
    """Return an AprilTag 36h11: its black square, and the white modules as its holes."""
    corners = np.asarray(corners_mm, dtype=float)
    origin = corners[0]
    right, down = (corners[1] - origin) / _MODULES, (corners[3] - origin) / _MODULES
    loops = [_loop(corners)]
    for row, column in np.argwhere(tag_bits(number)):
        start = origin + (column + 1) * right + (row + 1) * down
        loops.append(_loop(np.array([start, start + right, start + right + down, start + down])))
    return [Shape(tuple(loops))]


def tag_bits(number: int) -> NDArray[np.uint8]:
    """Return the (6, 6) bits of tag `number`, 1 where white."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    image = dictionary.generateImageMarker(number, _MODULES, borderBits=1)
    return (np.asarray(image)[1:-1, 1:-1] > 0).astype(np.uint8)


def _checker(checker: Checker) -> Shape:
    x0, y0 = checker.origin_mm
    side = checker.square_mm
    return Shape(
        tuple(
            _loop(rectangle(x0 + column * side, y0 + row * side, side, side))
            for row in range(checker.rows)
            for column in range(row % 2, checker.columns, 2)
        )
    )


def _loop(corners: FloatArray) -> tuple[tuple[float, float], ...]:
    return tuple((float(x), float(y)) for x, y in corners)
