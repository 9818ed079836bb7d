"""What load and temperature can account for at most, by the air spring in a shock strut.

p = p0 (V0 / (V0 − A s))ⁿ with absolute pressures, s the stroke from full extension, n 1 at
rest (isothermal) and up to about 1.12 (NACA Report 1154, Milwitzky and Cook, 1953).

**Ambient convention**: the force on the strut is (p − ambient)·A.  Textbook examples
often leave ambient out; `ambient_kpa=0` does so.  It is stated wherever a number is shown.

Friction of seals and bearings, gas in solution and a wrong oil level are left out,
so this is the most that load and temperature *would* account for in a strut that is
rightly serviced.  It explains nothing away: a verdict stays as it was given.
"""

import math
from dataclasses import dataclass

STANDARD_AMBIENT_KPA = 101.325
ZERO_C_K = 273.15
MOST_N = 1.12
CONVENTION = "Absolute pressures; the force on the strut is the gas pressure less the ambient one."


@dataclass(frozen=True)
class AirSpring:
    """The gas of one strut, as its document gives it.

    Attributes
    ----------
    area_mm2 : float, > 0
        That the gas presses on.
    full_volume_mm3 : float, > 0
        Of the gas at full extension.
    full_pressure_kpa : float, > 0
        Absolute, at full extension and `temperature_k`.
    stroke_mm : float, > 0
    temperature_k : float, > 0
        At which it was serviced.
    ambient_kpa : float, >= 0
    n : float, 1 to 1.12

    Raises
    ------
    ValueError
        A value is out of its range, or the gas would be squeezed to nothing within the stroke.
    """

    area_mm2: float
    full_volume_mm3: float
    full_pressure_kpa: float
    stroke_mm: float
    temperature_k: float = 293.15
    ambient_kpa: float = STANDARD_AMBIENT_KPA
    n: float = 1.0

    def __post_init__(self) -> None:
        above = (
            self.area_mm2,
            self.full_volume_mm3,
            self.full_pressure_kpa,
            self.stroke_mm,
            self.temperature_k,
        )
        if not all(math.isfinite(one) and one > 0 for one in above):
            msg = f"area, volume, pressure, stroke and temperature are numbers above 0, got {above}"
            raise ValueError(msg)
        if not (0 <= self.ambient_kpa < self.full_pressure_kpa and 1 <= self.n <= MOST_N):
            msg = (
                f"ambient lies below the gas pressure and n between 1 and {MOST_N}, "
                f"got {self.ambient_kpa} kPa and {self.n}"
            )
            raise ValueError(msg)
        if self.area_mm2 * self.stroke_mm >= self.full_volume_mm3:
            msg = (
                "the piston would squeeze the gas to nothing within its stroke: check area, volume and stroke"
            )
            raise ValueError(msg)

    def pressure_kpa(self, extension_mm: float, temperature_k: float | None = None) -> float:
        """Return the absolute pressure at an extension."""
        stroke = self.stroke_mm - extension_mm
        left = self.full_volume_mm3 - self.area_mm2 * stroke
        warmer = (temperature_k or self.temperature_k) / self.temperature_k
        return float(self.full_pressure_kpa * warmer * (self.full_volume_mm3 / left) ** self.n)

    def load_n(self, extension_mm: float, temperature_k: float | None = None) -> float:
        """Return the load that holds the strut at an extension, N."""
        over_kpa = self.pressure_kpa(extension_mm, temperature_k) - self.ambient_kpa
        return over_kpa * 1e-3 * self.area_mm2

    def extension_mm(self, load_n: float, temperature_k: float | None = None) -> float:
        """Return the extension under a load, held between both stops.

        Raises
        ------
        ValueError
            The load is not a number above 0.
        """
        if not (math.isfinite(load_n) and load_n > 0):
            msg = f"a load is a number above 0 N, got {load_n}"
            raise ValueError(msg)
        pressure = load_n / self.area_mm2 * 1e3 + self.ambient_kpa
        warmer = (temperature_k or self.temperature_k) / self.temperature_k
        left = self.full_volume_mm3 * (self.full_pressure_kpa * warmer / pressure) ** (1 / self.n)
        stroke = (self.full_volume_mm3 - left) / self.area_mm2
        return float(self.stroke_mm - min(max(stroke, 0.0), self.stroke_mm))


@dataclass(frozen=True)
class AtMost:
    """How far load and temperature alone may have moved the extension, mm: low ≤ 0 ≤ high.

    `expected_mm` is the extension under the nominal load at the nominal temperature.
    """

    expected_mm: float
    low_mm: float
    high_mm: float

    @property
    def words(self) -> str:
        """The sentence that stands beside a reading."""
        return (
            f"Load and temperature would account for at most {self.low_mm:+.1f} to {self.high_mm:+.1f} mm "
            f"about {self.expected_mm:.1f} mm. {CONVENTION} The verdict stays as it is."
        ).replace("-", "−")


def at_most(
    spring: AirSpring,
    load_n: tuple[float, float],
    temperature_k: tuple[float, float],
    nominal: tuple[float, float] | None = None,
) -> AtMost:
    """Return the most that load and temperature within their bounds account for.

    Parameters
    ----------
    load_n, temperature_k : (low, high)
        What they may have been.
    nominal : (load, temperature), optional
        What the expected extension is told for; the middle of both by default.

    Raises
    ------
    ValueError
        A bound is out of range, or low lies above high.
    """
    if load_n[0] > load_n[1] or temperature_k[0] > temperature_k[1] or temperature_k[0] <= 0:
        msg = f"bounds go from low to high and temperatures are kelvin, got {load_n} and {temperature_k}"
        raise ValueError(msg)
    at = nominal or (sum(load_n) / 2, sum(temperature_k) / 2)
    expected = spring.extension_mm(*at)
    # More load and less warmth shorten: both ends are at corners, because the relation is monotonic in each.
    low = spring.extension_mm(load_n[1], temperature_k[0])
    high = spring.extension_mm(load_n[0], temperature_k[1])
    return AtMost(expected, low - expected, high - expected)
