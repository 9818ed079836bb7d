"""What a photo tells about the focal length in pixels, and how far to trust it."""

import math
from dataclasses import dataclass

FILM_WIDTH_MM = 36.0
FILM_DIAGONAL_MM = math.hypot(36.0, 24.0)  # 43.27
# The main camera of most phones is 24 to 28 mm equivalent; a wide-angle is 13, a short tele 50.
_GUESS_MM, _GUESS_DOUBT = 27.0, 0.25
# Judged, no source: focusing close moves the lens, the stabiliser shifts it, and copies of a model differ.
_LENS_DOUBT = 0.025
_LEAST_DOUBT = 0.03
# A size that differs by less from the one in the EXIF is a trimmed row of blocks, not a crop.
_SAME_SIZE = 0.01
_PLAUSIBLE_MM = (5.0, 2000.0)


@dataclass(frozen=True)
class FocalPrior:
    """A focal length before any calibration.

    Attributes
    ----------
    f_px : float, > 0
        In pixels of the upright photo.
    u_px : float, > 0
        Its standard uncertainty.
    rule : str
        How it was found, for the budget and the record.
    """

    f_px: float
    u_px: float
    rule: str


def focal_prior(
    size: tuple[int, int],
    focal_35mm: float | None,
    *,
    digital_zoom: float | None = None,
    taken_size: tuple[int, int] | None = None,
) -> FocalPrior:
    """Return the focal length that the EXIF's 35 mm equivalent stands for.

    Parameters
    ----------
    size : (int, int)
        Width and height of the photo in pixels, in any order.
    focal_35mm : float or None
        The 35 mm equivalent in mm.
    digital_zoom : float or None
        The zoom ratio in the EXIF.
    taken_size : (int, int) or None
        Width and height that the EXIF says the photo was taken with.

    Notes
    -----
    "35 mm equivalent" means f35 / 43.27 mm of the diagonal (CIPA DCG-001) or f35 / 36 mm
    of the long side, and the file does not say which: 4 % apart at 4:3.  The middle
    is taken.  The sum, for 27 mm at 4:3:

    ==================================================  ===========
    half the spread of both rules, 2.0 % / sqrt(3)        1.1 %
    rounding to whole mm, 0.5 mm / 27 mm / sqrt(3)        1.1 %
    focus, stabiliser, spread between copies (judged)     2.5 %
    combined                                              3.0 %
    ==================================================  ===========

    It is never taken below 3 %.  Where the EXIF names a digital zoom, it is open whether f35
    includes it; where the photo is no longer of the size it was taken with, whether it
    was made smaller or cut.  Both ends are computed, the middle taken, the half spread added.
    """
    diagonal, longest = math.hypot(*size), max(size)
    if focal_35mm is None or not _PLAUSIBLE_MM[0] <= focal_35mm <= _PLAUSIBLE_MM[1]:
        f_px = _GUESS_MM / FILM_DIAGONAL_MM * diagonal
        return FocalPrior(f_px, _GUESS_DOUBT * f_px, "no focal length in the photo")
    rules = (focal_35mm / FILM_DIAGONAL_MM * diagonal, focal_35mm / FILM_WIDTH_MM * longest)
    words = ["EXIF 35 mm equivalent, middle of the diagonal rule and the width rule"]
    low, high = min(rules), max(rules)
    if digital_zoom is not None and digital_zoom > 1:
        high *= digital_zoom
        words.append(f"digital zoom {digital_zoom:.3g} perhaps not in it")
    shrunk = _shrunk(size, taken_size)
    if shrunk != 1:
        low, high = low * min(1.0, shrunk), high * max(1.0, shrunk)
        words.append("photo cut or resized after it was taken")
    middle = (low + high) / 2
    spread = (high - low) / 2 / middle / math.sqrt(3)
    rounding = 0.5 / focal_35mm / math.sqrt(3)
    doubt = max(_LEAST_DOUBT, math.hypot(spread, rounding, _LENS_DOUBT))
    return FocalPrior(middle, doubt * middle, "; ".join(words))


def _shrunk(size: tuple[int, int], taken_size: tuple[int, int] | None) -> float:
    """Return how many times larger the photo's diagonal was when it was taken (1: the same size)."""
    if taken_size is None or min(taken_size) < 1:
        return 1.0
    ratios = [taken / now for taken, now in zip(sorted(taken_size), sorted(size), strict=True)]
    if all(abs(ratio - 1) <= _SAME_SIZE for ratio in ratios):
        return 1.0
    return math.hypot(*taken_size) / math.hypot(*size)
