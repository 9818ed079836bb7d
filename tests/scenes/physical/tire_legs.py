"""The tires of the demo's invented legs: what their data files tell, and what stands in the scenes."""

from dataclasses import dataclass


@dataclass(frozen=True)
class DemoTire:
    """One tire; told is what the leg's data say, true what the scenes are built of.  Lengths mm."""

    outside_told: float
    flange_told: float
    width_told: float
    outside_true: float
    flange_true: float
    width_true: float
    pressure_kpa: tuple[float, float, float]  # as stated, its lower and its upper limit


NOSE = DemoTire(330.0, 146.0, 120.0, 331.8, 145.8, 117.0, (345.0, 345.0, 362.0))
MAIN = DemoTire(445.0, 190.5, 160.0, 442.6, 190.8, 164.0, (480.0, 480.0, 504.0))
TIRES = {"nose": NOSE, "left_main": MAIN, "right_main": MAIN}
LINE_LIMIT_DEG, CREEP_LIMIT_MM = 3.0, 5.0


def tire_toml(tire: DemoTire) -> str:
    """The leg data's table of the tire."""
    stated, lower, upper = tire.pressure_kpa
    return f"""
[tire]
outside_diameter_mm = {tire.outside_told}
flange_diameter_mm = {tire.flange_told}
section_width_mm = {tire.width_told}
line = "pressure line"
line_limit_deg = {LINE_LIMIT_DEG}
creep_limit_mm = {CREEP_LIMIT_MM}
pressure_kPa = {stated}
pressure_lower_kPa = {lower}
pressure_upper_kPa = {upper}
pressure_state = "loaded"
"""
