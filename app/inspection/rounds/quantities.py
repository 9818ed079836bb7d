"""What gauges read, in which units, and each unit's way to the base unit.

Factors are exact by definition where nothing else is said (international yard
and pound agreement of 1959, standard gravity 9.80665 m/s²; from memory).
"""

import math
from collections.abc import Mapping

from app.errors import UsageError
from vision.units import BAR_KPA, INCH_MM, PSI_KPA

_LBF_N = 4.4482216152605

UNITS: Mapping[str, Mapping[str, tuple[float, float]]] = {
    "pressure": {"kPa": (1.0, 0.0), "psi": (PSI_KPA, 0.0), "bar": (BAR_KPA, 0.0)},
    "tension": {"N": (1.0, 0.0), "lbf": (_LBF_N, 0.0)},
    "force": {"N": (1.0, 0.0), "lbf": (_LBF_N, 0.0)},
    "length": {"mm": (1.0, 0.0), "in": (INCH_MM, 0.0)},
    "angle": {"deg": (1.0, 0.0)},
    "torque": {"N m": (1.0, 0.0), "lbf in": (_LBF_N * INCH_MM / 1000, 0.0)},
    "temperature": {"°C": (1.0, 0.0), "°F": (5 / 9, -160 / 9)},
    "resistance": {"ohm": (1.0, 0.0), "mohm": (0.001, 0.0)},
}
"""Base value = factor × value + offset, by quantity and unit; the first unit is the base."""


def base_unit(quantity: str) -> str:
    """Return a quantity's base unit."""
    return next(iter(UNITS[quantity]))


def to_base(quantity: str, unit: str, value: float, *, difference: bool = False) -> float:
    """Return a value in the base unit; a `difference` (a doubt, a tolerance) takes no offset.

    Raises
    ------
    UsageError
        The unit is none of this quantity, or the value is no finite number.
    """
    units = UNITS[quantity]
    if unit not in units:
        msg = f"{unit!r} is no unit of {quantity}: choose one of {', '.join(units)}"
        raise UsageError(msg)
    number = float(value)
    if not math.isfinite(number):
        msg = f"{value} is no number that a gauge shows: type it again"
        raise UsageError(msg)
    factor, offset = units[unit]
    return factor * number + (0.0 if difference else offset)
