"""Cables: broken wires by their places, tension by charts that are never extrapolated.

What rejects a cable:

=================================================  ==========================================
seen                                               verdict
=================================================  ==========================================
a broken strand                                    outside, whatever a limit says
more breaks in the worst inch than allowed         outside
more breaks in critical areas than allowed there   outside (the stricter rule)
otherwise                                          within
=================================================  ==========================================

The allowed numbers are the aircraft's own, typed with their document: AC 43.13-1B
7-149 (read) has the rule of the critical areas; "more than six within one inch" is
practice, no source.  Neither is ever fallen back on.
"""

from bisect import bisect_right
from collections.abc import Sequence

from app.errors import UsageError
from app.inspection.rounds.given import Break
from vision.results import Verdict
from vision.units import INCH_MM

_SLIVER_MM = 1e-9
"""Two breaks exactly an inch apart lie within one inch, whatever their places' rounding."""


def worst_inch(breaks: Sequence[Break]) -> int:
    """Return the most breaks that lie within any one inch of the cable, both ends included."""
    places = sorted(one.at_mm for one in breaks)
    ends = [bisect_right(places, start + INCH_MM + _SLIVER_MM) for start in places]
    return max((end - first for first, end in enumerate(ends)), default=0)


def wires_verdict(
    breaks: Sequence[Break], strand_broken: bool, most_in_inch: int, most_in_critical: int
) -> Verdict:
    """Return whether a cable's broken wires reject it (see the table above)."""
    critical = sum(one.critical for one in breaks)
    rejected = strand_broken or worst_inch(breaks) > most_in_inch or critical > most_in_critical
    return Verdict.OUTSIDE if rejected else Verdict.WITHIN


def interpolated(rows: Sequence[Sequence[float]], at: float, what: str) -> list[float]:
    """Return a chart's columns at a place, linear between its rows.

    Parameters
    ----------
    rows : sequence of [place, column, …]
        Rising in the first.
    what : str
        What `at` is, for the message, e.g. ``"38 °C"``.

    Raises
    ------
    UsageError
        The place lies outside the chart: it is never extrapolated.
    """
    first, last = rows[0][0], rows[-1][0]
    if not first <= at <= last:
        msg = (
            f"{what} lies outside the chart, which goes from {first:g} to {last:g}: "
            "a chart is not extended; measure within it, or enter the document's whole chart"
        )
        raise UsageError(msg)
    upper = min(max(bisect_right([row[0] for row in rows], at), 1), len(rows) - 1)
    low, high = rows[upper - 1], rows[upper]
    share = (at - low[0]) / (high[0] - low[0])
    return [a + share * (b - a) for a, b in zip(low[1:], high[1:], strict=True)]
