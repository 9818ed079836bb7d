"""What a scale card is made of, as frozen values in millimetres.

The card's frame has its origin at the card's top left corner, x to the right
and y down.  Arrays are read-only; values with arrays compare by identity, so
that a card can be a key of a cache (compare two cards with `to_json`).
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

DICTIONARY = "DICT_APRILTAG_36h11"
CARD_IDS = range(100)
COPY_IDS = range(100, 400)
LEG_TAG_IDS = range(400, 587)


def read_only(values: object) -> FloatArray:
    """Return a float copy of `values` that cannot be written to."""
    array = np.array(values, dtype=np.float64)
    array.flags.writeable = False
    return array


@dataclass(frozen=True, eq=False)
class Marker:
    """A tag that identifies: its id and its outer black corners.

    Attributes
    ----------
    id : int
        Number in the dictionary.
    corners_mm : (4, 2) array
        Clockwise as seen, from the top left of the tag, in mm.
    """

    id: int
    corners_mm: FloatArray

    def __post_init__(self) -> None:
        object.__setattr__(self, "corners_mm", read_only(self.corners_mm))


@dataclass(frozen=True, eq=False)
class CopyTag:
    """Where each copy carries the tag whose id (100–399) is the copy's number."""

    corners_mm: FloatArray

    def __post_init__(self) -> None:
        object.__setattr__(self, "corners_mm", read_only(self.corners_mm))


@dataclass(frozen=True)
class Checker:
    """A chessboard field; its inner corners are the saddles that measure.

    The square in column c and row r (from 0, top left) is black where c + r is
    even.  `origin_mm` is the outer top left corner of the top left square.
    """

    origin_mm: tuple[float, float]
    square_mm: float
    columns: int
    rows: int

    def saddles_mm(self) -> FloatArray:
        """Return the inner corners, (N, 2) in mm, row by row from the top left."""
        x = self.origin_mm[0] + self.square_mm * np.arange(1, self.columns)
        y = self.origin_mm[1] + self.square_mm * np.arange(1, self.rows)
        grid = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
        return read_only(grid)

    def outline_mm(self) -> FloatArray:
        """Return the four outer corners, (4, 2) in mm, clockwise from the top left."""
        x, y = self.origin_mm
        return rectangle(x, y, self.square_mm * self.columns, self.square_mm * self.rows)


@dataclass(frozen=True)
class Dot:
    """A black disc; its centre measures."""

    xy_mm: tuple[float, float]
    diameter_mm: float


@dataclass(frozen=True)
class WedgePatch:
    """One grey field: (x, y, width, height) in mm and its reflectance in (0, 1]."""

    rect_mm: tuple[float, float, float, float]
    reflectance: float

    def outline_mm(self) -> FloatArray:
        """Return the four corners, (4, 2) in mm, clockwise from the top left."""
        return rectangle(*self.rect_mm)


@dataclass(frozen=True, eq=False)
class Card:
    """A scale card: tags identify, saddles or dots measure, greys tell the tone curve.

    Attributes
    ----------
    name, dictionary : str
    width_mm, height_mm : float, > 0
    markers : tuple of Marker, at least one
    checkers, dots, wedge : tuples, may be empty
    check_bars_mm : (along, across) or None
        Printed lengths along the card's longer side and across it.
    copy_tag : CopyTag or None
    """

    name: str
    dictionary: str
    width_mm: float
    height_mm: float
    markers: tuple[Marker, ...]
    checkers: tuple[Checker, ...] = ()
    dots: tuple[Dot, ...] = ()
    wedge: tuple[WedgePatch, ...] = ()
    check_bars_mm: tuple[float, float] | None = None
    copy_tag: CopyTag | None = None

    @property
    def marker_ids(self) -> tuple[int, ...]:
        """Ids of the markers, in the order of `markers`."""
        return tuple(marker.id for marker in self.markers)

    @property
    def check_bars_xy_mm(self) -> tuple[float, float] | None:
        """The check bars as (length in x, length in y) of the card's frame, or None."""
        if self.check_bars_mm is None:
            return None
        along, across = self.check_bars_mm
        return (across, along) if self.height_mm >= self.width_mm else (along, across)

    def saddles_mm(self) -> FloatArray:
        """Return the saddles of all checkers, (N, 2) in mm, N may be 0."""
        return _stack([checker.saddles_mm() for checker in self.checkers])

    def dots_mm(self) -> FloatArray:
        """Return the centres of all dots, (N, 2) in mm, N may be 0."""
        return _stack([np.array([dot.xy_mm]) for dot in self.dots])


def rectangle(x: float, y: float, width: float, height: float) -> FloatArray:
    """Return an upright rectangle's corners, (4, 2), clockwise from the top left."""
    return read_only([[x, y], [x + width, y], [x + width, y + height], [x, y + height]])


def _stack(blocks: Sequence[FloatArray]) -> FloatArray:
    return read_only(np.concatenate([np.empty((0, 2)), *blocks]))
