"""The limits of a strut whose plate states a chart of extension against pressure."""

import math
from dataclasses import dataclass

import numpy as np

from vision.errors import LegError
from vision.leg.doubts import CHART_PRESSURE_U_SHARE
from vision.notes import NO_PRESSURE, PRESSURE_OUTSIDE_CHART, PRESSURE_U_ASSUMED, Note
from vision.results import Limits

Chart = tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class StrutLimits:
    """What a strut reading is held against.

    Attributes
    ----------
    limits : Limits or None
        In mm; None where they cannot be told, which makes the verdict undecided.
    u_mm : float
        Standard uncertainty of the limits; belongs in the U that is judged.
    reason : str
        Why there are no limits; empty where there are.
    notes : tuple of Note
        Remarks to carry to the reading (the reason is among them).
    """

    limits: Limits | None
    u_mm: float = 0.0
    reason: str = ""
    notes: tuple[Note, ...] = ()


def cannot_tell(note: Note) -> StrutLimits:
    """Return no limits, and why."""
    return StrutLimits(None, reason=note.text, notes=(note,))


def chart_limits(
    chart: Chart, offsets: Limits, pressure_kpa: float | None, pressure_u_kpa: float | None
) -> StrutLimits:
    """Return the chart's value at a pressure plus the offsets, and what the pressure's doubt does to it.

    Parameters
    ----------
    chart : tuple of (kPa, mm)
        Rising in pressure; linear between its rows, never extrapolated.
    offsets : Limits
        Relative to the chart's value.
    pressure_kpa, pressure_u_kpa : float or None, kPa
        The strut's pressure as the chart states it (gauge or absolute), and its
        standard uncertainty; absent, 2 % of the pressure is taken.

    Returns
    -------
    StrutLimits
        Without limits where there is no pressure or it lies outside the chart.

    Raises
    ------
    LegError
        The pressure is not a positive number, or its doubt is negative.

    Notes
    -----
    ``u = |slope| u_p`` (JCGM 100:2008 5.1.2) with the steepest slope of the
    rows that ``p ± 2 u_p`` touches.  A gas spring's curve sags between rows: a
    straight line reads long where the rows are far apart, by a part of the
    row's step that the chart itself does not tell.
    """
    if pressure_kpa is None:
        return cannot_tell(NO_PRESSURE)
    u = CHART_PRESSURE_U_SHARE * pressure_kpa if pressure_u_kpa is None else pressure_u_kpa
    if not (math.isfinite(pressure_kpa) and pressure_kpa > 0 and math.isfinite(u) and u >= 0):
        msg = f"a strut pressure of {pressure_kpa} kPa ± {u} kPa cannot be: give kPa above 0, doubt 0 or more"
        raise LegError(msg)
    pressures, lengths = np.array(chart, float).T
    if not pressures[0] <= pressure_kpa <= pressures[-1]:
        return cannot_tell(PRESSURE_OUTSIDE_CHART)
    nominal = float(np.interp(pressure_kpa, pressures, lengths))
    touched = (pressures[1:] >= pressure_kpa - 2 * u) & (pressures[:-1] <= pressure_kpa + 2 * u)
    slope = float(np.abs(np.diff(lengths) / np.diff(pressures))[touched].max())
    limits = Limits(_shifted(offsets.lower, nominal), _shifted(offsets.upper, nominal), offsets.document)
    return StrutLimits(limits, slope * u, notes=(PRESSURE_U_ASSUMED,) if pressure_u_kpa is None else ())


def _shifted(offset: float | None, nominal: float) -> float | None:
    return None if offset is None else nominal + offset
