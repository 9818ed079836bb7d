"""How a length, its doubt and its limits are written on a screen: mm and inch, through vision.units."""

from vision.results import Limits
from vision.units import INCH_MM, format_inch_fraction, format_mm, format_reading


def in_mm(value_mm: float, expanded_u_mm: float) -> str:
    """Return e.g. ``"86.23 mm ± 0.29 mm"``."""
    return format_reading(value_mm, expanded_u_mm, "mm")


def in_inch(value_mm: float, expanded_u_mm: float) -> str:
    """Return e.g. ``"3.395 in ± 0.012 in"``."""
    return format_reading(value_mm / INCH_MM, expanded_u_mm / INCH_MM, "in")


def to_sixteenth(value_mm: float) -> str:
    """Return e.g. ``"nearest 1/16: 3 3/8 in"``."""
    return f"nearest 1/16: {format_inch_fraction(value_mm)}"


def both_units(value_mm: float, expanded_u_mm: float) -> str:
    """Return value and U in mm with the inches behind, for a line of text."""
    return f"{in_mm(value_mm, expanded_u_mm)} ({in_inch(value_mm, expanded_u_mm)})"


def one_length(mm: float) -> str:
    """Return a length without doubt of its own, such as a limit: ``"82.55 mm (3.250 in)"``."""
    return f"{format_mm(mm)} ({mm / INCH_MM:.3f} in)"


def limits_words(limits: Limits) -> str:
    """Return the limits as the leg's document gives them, two-sided or one-sided."""
    if limits.lower is None and limits.upper is None:
        return "no limits"
    if limits.lower is None:
        assert limits.upper is not None
        return f"at most {one_length(limits.upper)}"
    if limits.upper is None:
        return f"at least {one_length(limits.lower)}"
    inches = f"{limits.lower / INCH_MM:.3f} to {limits.upper / INCH_MM:.3f} in"
    return f"{format_mm(limits.lower)} to {format_mm(limits.upper)} ({inches})"
