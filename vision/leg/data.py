"""A leg's data as frozen values: what a measurement is given.

`u` means standard uncertainty.  `assumed` holds the keys (as LEG.toml spells
them) whose u was not given and took a default: the budget names them.
"""

import dataclasses
import math
from dataclasses import dataclass

from vision.errors import LegError
from vision.leg.chart import Chart, StrutLimits, chart_limits
from vision.results import Limits

Documents = tuple[tuple[str, str], ...]


def _source(documents: Documents, key: str, default: str) -> str:
    return dict(documents).get(key, default)


@dataclass(frozen=True)
class StrutData:
    """Complete data of a shock strut; lengths and their u in mm.

    A form that no photo measures may lack diameters: they are nan there, so
    that nothing can be computed from them by mistake.

    Attributes
    ----------
    form : str
        ``"telescopic"``, ``"trailing_link"`` or ``"spring"``.
    extension_mm, extension_table : float or None, tuple of (kPa, mm) or None
        The plate's value, or its chart; one of the two.
    lower_mm, upper_mm : float or None
        Limits; with a chart, offsets from its value.
    measured_from, measured_to : str
        The plate's datums: ``"band"``, ``"block"``, ``"face"``, ``"pin_centre"``; ``"collar"``.
    collar_diameter_mm : float
        Of the collar's lower rim, inside its chamfer.
    collar_recess_mm : float
        Added to the ring-to-ring length; a lip hanging below the rim is negative.
    document : str
        Source of every value that has none of its own (`document_of`).
    """

    form: str
    extension_mm: float | None
    extension_u_mm: float
    extension_table: Chart | None
    lower_mm: float | None
    lower_u_mm: float
    upper_mm: float | None
    upper_u_mm: float
    plate_text: str
    measured_from: str
    measured_to: str
    piston_diameter_mm: float
    piston_diameter_u_mm: float
    collar_diameter_mm: float
    collar_diameter_u_mm: float
    cylinder_diameter_mm: float | None
    cylinder_diameter_u_mm: float
    collar_recess_mm: float
    collar_recess_u_mm: float
    document: str
    documents: Documents = ()
    assumed: frozenset[str] = frozenset()

    def document_of(self, key: str) -> str:
        """Return the source of one value by its key in LEG.toml."""
        return _source(self.documents, key, self.document)

    def limits(self, pressure_kpa: float | None = None, pressure_u_kpa: float | None = None) -> StrutLimits:
        """Return what the extension is held against, with its doubt.

        Parameters
        ----------
        pressure_kpa, pressure_u_kpa : float or None, kPa
            Asked for only where the plate states a chart; see `chart_limits`.

        Raises
        ------
        LegError
            The pressure is not a positive number, or its doubt is negative.
        """
        keys = [key for key in ("lower_mm", "upper_mm") if getattr(self, key) is not None]
        if self.extension_table is not None:
            keys.insert(0, "extension_table")
        sources = "; ".join(dict.fromkeys(filter(None, map(self.document_of, keys))))
        given = Limits(self.lower_mm, self.upper_mm, sources)
        own = max(self.lower_u_mm, self.upper_u_mm)
        if self.extension_table is None:
            return StrutLimits(given, own)
        told = chart_limits(self.extension_table, given, pressure_kpa, pressure_u_kpa)
        if told.limits is None:
            return told
        return dataclasses.replace(told, u_mm=math.hypot(told.u_mm, self.extension_u_mm, own))


@dataclass(frozen=True)
class TireData:
    """Complete data of a tire and its rim that a photo is measured with; mm, degrees.

    Attributes
    ----------
    flange_diameter_mm : float
        The visible flange edge, never the number in the tire's name.
    section_width_mm, loaded_radius_mm : float or None
        Sidewall profile; axle to ground.
    line : str
        ``"none"``, or what the sidewall line is.
    line_reference : str
        ``"ground"`` or ``"gravity"``.
    line_clock_deg : (float, float)
        Where the line means something: clock angles clockwise as seen, 0 up.
    line_limit_deg, creep_limit_mm : float or None
        Largest allowed size of the angle, of the slip's arc.
    document : str
        Source of every value that has none of its own (`document_of`).
    """

    outside_diameter_mm: float
    outside_diameter_u_mm: float
    flange_diameter_mm: float
    flange_diameter_u_mm: float
    section_width_mm: float | None
    section_width_u_mm: float
    loaded_radius_mm: float | None
    loaded_radius_u_mm: float
    line: str
    line_reference: str
    line_clock_deg: tuple[float, float]
    line_limit_deg: float | None
    line_limit_u_deg: float
    creep_limit_mm: float | None
    creep_limit_u_mm: float
    document: str
    documents: Documents = ()
    assumed: frozenset[str] = frozenset()

    def document_of(self, key: str) -> str:
        """Return the source of one value by its key in LEG.toml."""
        return _source(self.documents, key, self.document)


@dataclass(frozen=True)
class PressureData:
    """What a document says of a tire's pressure, gauge kPa and °C: needs nothing of the tire's geometry.

    Attributes
    ----------
    lower_kpa, upper_kpa : float or None
    state : str
        ``"loaded"``, ``"unloaded"`` or empty where the document does not say.
    temperature_c : float or None
        For which the pressure is stated.
    document : str
        Source of the limits.
    """

    lower_kpa: float | None
    upper_kpa: float | None
    state: str
    temperature_c: float | None
    document: str


@dataclass(frozen=True)
class HoseData:
    """One hose: outside diameter in mm, and its cover or None where it is not told.

    `damage_limits` are the document's own words of what damage it allows, empty where they are
    not told; `damage_document` says where they stand.
    """

    name: str
    diameter_mm: float | None
    diameter_u_mm: float
    cover: str | None
    document: str
    assumed: frozenset[str] = frozenset()
    damage_limits: str = ""
    damage_document: str = ""


@dataclass(frozen=True)
class Leg:
    """One leg of one aircraft.

    `strut` and `tire` are None where their table is absent *or lacks a required
    key*; `strut_missing` and `tire_missing` then name the keys.
    """

    aircraft: str
    position: str
    leg_tag: int | None
    document: str
    strut: StrutData | None
    tire: TireData | None
    tire_pressure: PressureData | None
    hoses: tuple[HoseData, ...]
    source: str = ""
    strut_missing: tuple[str, ...] = ()
    tire_missing: tuple[str, ...] = ()

    def require_strut(self) -> StrutData:
        """Return the strut's data.

        Raises
        ------
        LegError
            Names every required key that is missing.
        """
        if self.strut is None:
            raise LegError(self._lacking("strut", self.strut_missing))
        return self.strut

    def require_tire(self) -> TireData:
        """Return the tire's data.

        Raises
        ------
        LegError
            Names every required key that is missing.
        """
        if self.tire is None:
            raise LegError(self._lacking("tire", self.tire_missing))
        return self.tire

    def _lacking(self, table: str, missing: tuple[str, ...]) -> str:
        return (
            f"{self.source}: measuring the {table} needs [{table}] with {', '.join(missing)}: "
            "take them from the leg's document and write them there"
        )
