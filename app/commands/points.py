"""Points on a photo as arguments, ``X,Y`` in px of the upright photo."""

import argparse

from app.errors import UsageError
from app.measuring.tire_request import Points


def two_apart(points: list[tuple[float, float]] | None, option: str) -> Points | None:
    """Return two points that an option took; None where it was not given.

    Raises
    ------
    UsageError
        They lie within 8 px of each other.
    """
    if points is None:
        return None
    (x0, y0), (x1, y1) = points
    if abs(x1 - x0) + abs(y1 - y0) < 8:
        msg = f"{option} takes two points that lie apart, these are less than 8 px from each other"
        raise UsageError(msg)
    return tuple(points)


def point(text: str) -> tuple[float, float]:
    """Return the place in px that an argument ``X,Y`` names.

    Raises
    ------
    argparse.ArgumentTypeError
        It is no such place.
    """
    found = place(text)
    if found is None:
        msg = f"{text!r} is no point: write its place in px as X,Y, for example 1520,880"
        raise argparse.ArgumentTypeError(msg)
    return found


def place(text: str) -> tuple[float, float] | None:
    """Return the place in px that a word ``X,Y`` names, or None where it is none."""
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        return None
    return (x, y) if abs(x) < 1e5 and abs(y) < 1e5 else None  # None, too, where one is not a number


def place_of(option: str, text: str) -> tuple[float, float]:
    """Return the place in px that a word of an option names.

    Raises
    ------
    UsageError
        It names none.
    """
    found = place(text)
    if found is None:
        msg = f"{option} {text!r} is no place: write it in px as X,Y, for example 1520,880"
        raise UsageError(msg)
    return found
