"""The value with its interval against the limits, drawn to scale: why the verdict is what it is."""

import numpy as np

from vision.overlay.palette import INK, MARGIN, SOFT_INK
from vision.overlay.strokes import Image, Points, fill, line
from vision.results import Limits

_AIR = 0.15  # share of the span left free at each end


def scale_range(value: float, expanded_uncertainty: float, limits: Limits) -> tuple[float, float]:
    """Return the lowest and the highest value shown: limits and the whole interval, with air.

    At an open side the allowed zone runs off the end of the scale.
    """
    shown = [value - expanded_uncertainty, value + expanded_uncertainty]
    shown += [limit for limit in (limits.lower, limits.upper) if limit is not None]
    low, high = min(shown), max(shown)
    air = _AIR * (high - low)
    return low - air, high + air


def draw_limit_scale(
    image: Image,
    box: tuple[float, float, float, float],
    value: float,
    expanded_uncertainty: float,
    limits: Limits,
) -> None:
    """Draw into the box (left, top, right, bottom), in place.

    Parameters
    ----------
    value, expanded_uncertainty : float
        In the unit of `limits`; `expanded_uncertainty` > 0.
    limits : Limits
        With one limit at least.
    """
    left, top, right, bottom = box
    low, high = scale_range(value, expanded_uncertainty, limits)
    height, middle = bottom - top, (top + bottom) / 2

    def place(number: float) -> float:
        return left + (number - low) / (high - low) * (right - left)

    def bar(x0: float, x1: float, half: float) -> Points:
        return np.array([(x0, middle - half), (x1, middle - half), (x1, middle + half), (x0, middle + half)])

    zone = [
        left if limits.lower is None else place(limits.lower),
        right if limits.upper is None else place(limits.upper),
    ]
    fill(image, bar(zone[0], zone[1], height * 0.3), MARGIN)
    line(image, np.array([(left, middle), (right, middle)]), SOFT_INK, height / 40)
    for limit in (limits.lower, limits.upper):
        if limit is not None:
            at = place(limit)
            line(image, np.array([(at, top), (at, bottom)]), INK, height / 16)
    half = max(expanded_uncertainty * (right - left) / (high - low), height / 30)
    at = place(value)
    fill(image, bar(at - half, at + half, height * 0.11), INK)
    # A pointer above the interval, as on an instrument's scale.
    tip = np.array([(0.0, -0.16), (0.17, -0.5), (-0.17, -0.5)]) * height
    fill(image, np.array([at, middle]) + tip, INK)
