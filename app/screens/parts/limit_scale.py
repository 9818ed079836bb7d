"""The value and its U on a line with the leg's limits: how near, and on which side."""

from app.screens.parts.markup import text
from app.screens.parts.numbers import limits_words
from vision.results import Limits, Reading
from vision.units import format_mm


def limit_scale(reading: Reading) -> str:
    """Return the markup of the line, or nothing where there is no limit to draw.

    The line runs from a little beyond the lower of limit and value - U to a little
    beyond the upper, so a value far outside stays on it.
    """
    limits = reading.limits
    if limits is None or (limits.lower is None and limits.upper is None):
        return ""
    low, high = _ends(reading, limits)

    def at(mm: float) -> float:
        return round(100 * (mm - low) / (high - low), 2)

    lower = at(low if limits.lower is None else limits.lower)
    upper = at(high if limits.upper is None else limits.upper)
    value, u = reading.value, reading.expanded_uncertainty
    width = round(at(value + u) - at(value - u), 2)
    ends = "".join(
        f'<b class="gw-limit" style="left:{at(mm)}%"><span>{text(format_mm(mm))}</span></b>'
        for mm in (limits.lower, limits.upper)
        if mm is not None
    )
    words = f"{format_mm(value)} on a line with the limits {limits_words(limits)}"
    return (
        f'<div class="gw-scale" role="img" aria-label="{text(words)}"><div>'
        f'<i class="gw-allowed" style="left:{lower}%;width:{round(upper - lower, 2)}%"></i>{ends}'
        f'<i class="gw-doubt" style="left:{at(value - u)}%;width:{width}%"></i>'
        f'<i class="gw-value" style="left:{at(value)}%"></i>'
        "</div></div>"
    )


def _ends(reading: Reading, limits: Limits) -> tuple[float, float]:
    there = [x for x in (limits.lower, limits.upper) if x is not None]
    there += [reading.value - reading.expanded_uncertainty, reading.value + reading.expanded_uncertainty]
    # One limit alone has no width of its own to take a margin from.
    margin = 0.16 * max(max(there) - min(there), 4 * reading.expanded_uncertainty)
    return min(there) - margin, max(there) + margin
