"""The invented legs of the demo, as leg data files and as the shapes that the renderer builds."""

from dataclasses import dataclass
from pathlib import Path

from tests.scenes.physical.scene import LegShape
from tests.scenes.physical.tire_legs import TIRES, tire_toml

AIRCRAFT = "ZZ-GWT"
DOCUMENT = "Aster 210 demo manual 32-10-05 rev 3"


@dataclass(frozen=True)
class DemoLeg:
    """One leg: what its data file says and how it looks."""

    file: str
    position: str
    tag: int | None
    plate_text: str
    lower_mm: float
    upper_mm: float
    shape: LegShape


_MAIN = LegShape(
    piston_mm=62.0,
    collar_mm=98.0,
    cylinder_mm=90.0,
    extension_mm=88.9,
    chamfer_mm=1.2,
    collar_height_mm=34.0,
    band_height_mm=20.0,
    chrome_below_mm=50.0,
    running_gear="side",
    tire_mm=445.0,
    tire_width_mm=160.0,
)
LEGS = {
    "nose": DemoLeg(
        "nose", "nose", 401, "2 1/2 in", 57.15, 69.85, LegShape(chrome_below_mm=52.0, band_height_mm=16.0)
    ),
    "left_main": DemoLeg("left_main", "left main", 402, "3 1/2 in", 82.55, 95.25, _MAIN),
    "right_main": DemoLeg("right_main", "right main", 403, "3 1/2 in", 82.55, 95.25, _MAIN),
}


def leg_toml(leg: DemoLeg) -> str:
    """The leg's data file."""
    return f"""# Invented leg of an invented aircraft type (Aster 210): demo data, not for any aircraft.
aircraft = "{AIRCRAFT}"
position = "{leg.position}"
leg_tag = {leg.tag}
document = "{DOCUMENT}"

[strut]
form = "telescopic"
extension_mm = {leg.shape.extension_mm}
lower_mm = {leg.lower_mm}
upper_mm = {leg.upper_mm}
plate_text = "{leg.plate_text}"
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = {leg.shape.piston_mm}
collar_diameter_mm = {leg.shape.collar_mm}
cylinder_diameter_mm = {leg.shape.cylinder_mm}
{tire_toml(TIRES[leg.file])}"""


SPRING_TOML = f"""# Invented leg of an invented aircraft type (Aster 210): demo data, not for any aircraft.
aircraft = "{AIRCRAFT}"
position = "tail"
document = "{DOCUMENT}"

[strut]
form = "spring"
"""


def write_legs(folder: Path) -> None:
    """Write the four leg files."""
    folder.mkdir(parents=True, exist_ok=True)
    for leg in LEGS.values():
        (folder / f"{leg.file}.toml").write_text(leg_toml(leg), encoding="utf-8")
    (folder / "spring.toml").write_text(SPRING_TOML, encoding="utf-8")
