"""Every key of LEG.toml: its kind, its unit, and the sizes that aircraft have.

The windows are wide on purpose: they are there to catch inches, centimetres,
metres, psi and bar, not to judge a design.  They are this project's estimate
over light to transport aircraft (common practice, no source).
"""

from dataclasses import dataclass
from enum import Enum, auto

from vision.units import BAR_KPA, INCH_MM, PSI_KPA


class Kind(Enum):
    """How a value is written."""

    POSITIVE = auto()
    SIGNED = auto()
    TEXT = auto()
    CHOICE = auto()
    TAG = auto()
    CHART = auto()
    CLOCK = auto()


@dataclass(frozen=True)
class Key:
    """One key of a table; `window` is the plausible range in the key's own unit."""

    name: str
    kind: Kind
    window: tuple[float, float] | None = None
    choices: tuple[str, ...] = ()

    @property
    def unit(self) -> str:
        """The unit that the key's name ends in, or nothing."""
        tail = self.name.rpartition("_")[2]
        if self.kind is Kind.CHART:
            return "mm"
        return tail if tail in ("mm", "deg", "kPa", "C") else ""

    @property
    def is_number(self) -> bool:
        """Whether the value can carry a standard uncertainty."""
        return self.kind in (Kind.POSITIVE, Kind.SIGNED, Kind.CHART, Kind.CLOCK)

    @property
    def u_name(self) -> str:
        """The key of its standard uncertainty: ``piston_diameter_u_mm`` for ``piston_diameter_mm``."""
        stem = self.name.removesuffix(f"_{self.unit}")
        return f"{stem}_u_{self.unit}" if self.unit else f"{stem}_u"

    @property
    def document_names(self) -> tuple[str, str]:
        """The keys of its source, with and without the unit: both are read."""
        return f"{self.name.removesuffix(f'_{self.unit}')}_document", f"{self.name}_document"


MEASURED_FORM = "telescopic"
FORMS = (MEASURED_FORM, "trailing_link", "spring")
CHART_PRESSURE_WINDOW_KPA = (100.0, 35000.0)

OTHER_UNITS: dict[str, tuple[tuple[str, float], ...]] = {
    "mm": (("in", INCH_MM), ("cm", 10.0), ("m", 1000.0), ("µm", 0.001)),
    "kPa": (("psi", PSI_KPA), ("bar", BAR_KPA), ("MPa", 1000.0), ("Pa", 0.001)),
    "deg": (("rad", 57.29578),),
}
"""What else a number may have been meant in, as factors to the unit of the key."""


def _positive(name: str, low: float, high: float) -> Key:
    return Key(name, Kind.POSITIVE, (low, high))


LEG_KEYS = (
    Key("aircraft", Kind.TEXT),
    Key("position", Kind.TEXT),
    Key("leg_tag", Kind.TAG),
)
STRUT_KEYS = (
    Key("form", Kind.CHOICE, choices=FORMS),
    _positive("extension_mm", 5, 700),
    Key("extension_table", Kind.CHART, (5, 700)),
    Key("lower_mm", Kind.SIGNED, (-300, 1000)),
    Key("upper_mm", Kind.SIGNED, (-300, 1000)),
    Key("plate_text", Kind.TEXT),
    Key("measured_from", Kind.CHOICE, choices=("band", "block", "face", "pin_centre")),
    Key("measured_to", Kind.CHOICE, choices=("collar",)),
    _positive("piston_diameter_mm", 20, 400),
    _positive("collar_diameter_mm", 22, 600),
    _positive("cylinder_diameter_mm", 22, 600),
    Key("collar_recess_mm", Kind.SIGNED, (-60, 60)),
)
TIRE_KEYS = (
    _positive("outside_diameter_mm", 150, 1600),
    _positive("flange_diameter_mm", 80, 900),
    _positive("section_width_mm", 40, 700),
    _positive("loaded_radius_mm", 50, 780),
    Key("line", Kind.TEXT),
    Key("line_reference", Kind.CHOICE, choices=("ground", "gravity")),
    Key("line_clock_deg", Kind.CLOCK),
    _positive("line_limit_deg", 0.2, 90),
    _positive("creep_limit_mm", 1, 100),
    _positive("pressure_kPa", 100, 3500),
    _positive("pressure_lower_kPa", 100, 3500),
    _positive("pressure_upper_kPa", 100, 3500),
    Key("pressure_state", Kind.CHOICE, choices=("loaded", "unloaded")),
    Key("pressure_temperature_C", Kind.SIGNED, (-60, 90)),
)
HOSE_KEYS = (
    Key("name", Kind.TEXT),
    _positive("diameter_mm", 4, 80),
    Key("cover", Kind.CHOICE, choices=("rubber", "textile", "metal_braid")),
    Key("damage_limits", Kind.TEXT),
)
TABLES: dict[str, tuple[Key, ...]] = {"strut": STRUT_KEYS, "tire": TIRE_KEYS, "hose": HOSE_KEYS}


def spellings(keys: tuple[Key, ...]) -> list[str]:
    """Return every name that a table with these keys may hold, the plain ones first."""
    names = [key.name for key in keys] + ["document"]
    names += [key.u_name for key in keys if key.is_number]
    return names + [name for key in keys for name in dict.fromkeys(key.document_names)]
