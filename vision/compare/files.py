"""Two photo files in, plain values and pictures' bytes out: for rooms that know no pixels."""

from dataclasses import dataclass
from typing import Any

from vision.compare.compare import compare_views
from vision.compare.pictures import Flicker, flicker, side_by_side
from vision.compare.result import Answer, to_json
from vision.photo import read_photo


@dataclass(frozen=True)
class FilesCompared:
    """The answer with what to look at.

    Attributes
    ----------
    answer : Answer
    result : dict
        As `vision.compare.to_json`.
    stand : tuple of str
        What to do for the same view, in words; empty where it is the same already or not told.
    beside : bytes
        Both side by side, a JPEG.
    flicker : Flicker or None
        None where the photos are not comparable.
    """

    answer: Answer
    result: dict[str, Any]
    stand: tuple[str, ...]
    beside: bytes
    flicker: Flicker | None


def compare_files(earlier: bytes, now: bytes, px_per_mm: float | None = None) -> FilesCompared:
    """Compare two photo files of one view.

    Parameters
    ----------
    earlier, now : bytes
        As for `vision.photo.read_photo`.
    px_per_mm : float, optional, > 0
        Scale of the present photo on what it shows, where that was read; steps are then told in cm.

    Raises
    ------
    PhotoError
        One of them is no photo that can be read.
    """
    before, after = read_photo(earlier), read_photo(now)
    compared = compare_views(before, after)
    distance_mm = None if px_per_mm is None else after.facts.focal.f_px / px_per_mm
    words = () if compared.stand is None else compared.stand.words(distance_mm)
    return FilesCompared(
        compared.answer,
        to_json(compared),
        words,
        side_by_side(before, after, compared),
        flicker(before, after, compared),
    )
