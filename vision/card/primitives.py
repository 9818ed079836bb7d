"""What a printed page is made of: filled shapes and words, in millimetres.

The frame is that of the card: origin top left, x right, y down.  A grey is a
reflectance relative to the paper, 0 black to 1 paper white.
"""

from dataclasses import dataclass
from typing import Literal

Anchor = Literal["left", "middle", "right"]


@dataclass(frozen=True)
class Box:
    """A filled upright rectangle."""

    x: float
    y: float
    width: float
    height: float
    grey: float = 0.0


@dataclass(frozen=True)
class Shape:
    """One filled area bounded by closed loops; what lies inside two loops is a hole (even-odd rule).

    Squares that touch belong into one shape: a renderer then weighs their shared edge once,
    where two areas would leave a seam or a line along it.
    """

    loops: tuple[tuple[tuple[float, float], ...], ...]
    grey: float = 0.0


@dataclass(frozen=True)
class Disc:
    """A filled circle about (x, y)."""

    x: float
    y: float
    diameter: float
    grey: float = 0.0


@dataclass(frozen=True)
class Words:
    """A line of text whose baseline passes (x, y), turned clockwise by `turn_deg` about it."""

    x: float
    y: float
    text: str
    size_pt: float
    anchor: Anchor = "left"
    turn_deg: float = 0.0
    bold: bool = False
    grey: float = 0.0


Primitive = Box | Shape | Disc | Words


def srgb_code(reflectance: float) -> int:
    """Return the 8-bit sRGB code of a reflectance (IEC 61966-2-1, linear to coded).

    Parameters
    ----------
    reflectance : float, in [0, 1]
    """
    straight = reflectance <= 0.0031308
    coded = 12.92 * reflectance if straight else 1.055 * reflectance ** (1 / 2.4) - 0.055
    return round(255 * coded)
