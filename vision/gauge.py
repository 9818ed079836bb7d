"""Rules of the tire gauge: loaded and unloaded, warm and cold, loss a day.

Pure functions in kPa, °C and hours.  Pressures are gauge pressures unless a name says absolute.  None of
these rules is a limit of an aircraft: a limit is the aircraft's own, typed in with its document.
"""

import math
from dataclasses import dataclass

from vision.uncertainty import combine

LOADED_OVER_UNLOADED = 1.04
"""Tire care practice, FAA-H-8083-31 ch. 13 (read in a derived text)."""

ZERO_CELSIUS_K = 273.15
STANDARD_ATMOSPHERE_KPA = 101.325
"""ISO 2533 sea level, from memory; ambient pressure may differ by some kPa from day to day."""

STRETCH_H = 12.0
"""A tire that was just mounted stretches for 12 h, in which pressure falls without a leak
(AC 20-97B, read in a quotation)."""

LOSS_PER_DAY = 0.05
"""5 % in 24 h after the stretch (AC 20-97B, read in a quotation): for tests and the guide only."""


@dataclass(frozen=True)
class Pressure:
    """A pressure in kPa with its standard uncertainty."""

    kpa: float
    u_kpa: float = 0.0


def to_unloaded(loaded: Pressure) -> Pressure:
    """Return what a gauge would read with the wheel off the ground: loaded / 1.04.

    Raises
    ------
    ValueError
        The pressure is not a positive number.
    """
    _check(loaded)
    return Pressure(loaded.kpa / LOADED_OVER_UNLOADED, loaded.u_kpa / LOADED_OVER_UNLOADED)


def to_loaded(unloaded: Pressure) -> Pressure:
    """Return what a gauge would read with the wheel on the ground: unloaded × 1.04.

    Raises
    ------
    ValueError
        The pressure is not a positive number.
    """
    _check(unloaded)
    return Pressure(unloaded.kpa * LOADED_OVER_UNLOADED, unloaded.u_kpa * LOADED_OVER_UNLOADED)


def at_temperature(
    read: Pressure, read_at_c: float, wanted_c: float, *, temperature_u_c: float = 0.0,
    ambient_kpa: float = STANDARD_ATMOSPHERE_KPA,
) -> Pressure:  # fmt: skip
    """Return a gauge pressure as it would be at another temperature, at constant volume.

    Parameters
    ----------
    read : Pressure
        Gauge pressure at `read_at_c` (°C, of the gas: the tire must have cooled).
    wanted_c : float
        °C.
    temperature_u_c : float, ≥ 0
        Standard uncertainty of the difference of the two temperatures.
    ambient_kpa : float, > 0
        What a gauge adds to be an absolute pressure.

    Raises
    ------
    ValueError
        A number is not finite, a temperature is below absolute zero, or a pressure is not positive.

    Notes
    -----
    ``(p + a) / T = const``.  The rule "5 °F is 1 %" is of the *absolute* pressure: of a gauge reading
    of 50 psi it is 1.25 % (computed).
    """
    _check(read)
    _check(Pressure(ambient_kpa))
    t0, t1 = read_at_c + ZERO_CELSIUS_K, wanted_c + ZERO_CELSIUS_K
    if not (math.isfinite(t0) and math.isfinite(t1) and t0 > 0 and t1 > 0 and temperature_u_c >= 0):
        msg = f"temperatures of {read_at_c} °C and {wanted_c} °C cannot be: give °C above −273"
        raise ValueError(msg)
    absolute = read.kpa + ambient_kpa
    ratio = t1 / t0
    u = combine([read.u_kpa * ratio, absolute / t0 * temperature_u_c])
    return Pressure(absolute * ratio - ambient_kpa, u)


def loss_per_day(first: Pressure, later: Pressure, hours: float) -> tuple[float, float]:
    """Return the share of pressure lost in 24 h between two readings, and its standard uncertainty.

    Both readings are of the same temperature (`at_temperature`) and the same state of load.

    Parameters
    ----------
    hours : float, > 0
        Between them.

    Raises
    ------
    ValueError
        A pressure is not positive, or the time is not.

    Notes
    -----
    A small leak loses the same share in the same time: ``1 − (p2 / p1)^(24 / hours)``.
    """
    _check(first)
    _check(later)
    if not (math.isfinite(hours) and hours > 0):
        msg = f"{hours} hours between two readings cannot be: give more than 0"
        raise ValueError(msg)
    power = 24.0 / hours
    kept = (later.kpa / first.kpa) ** power
    u = kept * power * combine([first.u_kpa / first.kpa, later.u_kpa / later.kpa])
    return 1.0 - kept, u


def _check(pressure: Pressure) -> None:
    if not (math.isfinite(pressure.kpa) and pressure.kpa > 0 and pressure.u_kpa >= 0):
        msg = f"a tire pressure of {pressure.kpa} kPa ± {pressure.u_kpa} kPa cannot be: give kPa above 0"
        raise ValueError(msg)
