"""Contradictions: both keys are named, and no option overrides them."""

import pytest

from tests.vision.leg.leg_texts import chart_text, strut_text, tire_text
from vision.errors import LegError
from vision.leg import read_leg

CASES = [
    (strut_text(collar_diameter_mm="60.0"), "piston_diameter_mm", "collar_diameter_mm"),
    (strut_text(collar_diameter_mm="55.0"), "piston_diameter_mm", "collar_diameter_mm"),
    (strut_text(cylinder_diameter_mm="59.0"), "piston_diameter_mm", "cylinder_diameter_mm"),
    (strut_text(lower_mm="95.0", upper_mm="92.0", extension_mm=None), "lower_mm", "upper_mm"),
    (strut_text(lower_mm="85.0"), "lower_mm", "extension_mm"),
    (strut_text(upper_mm="83.0"), "extension_mm", "upper_mm"),
    (strut_text(extension_mm="85.0"), "plate_text", "extension_mm"),
    (strut_text(plate_text='"84.14 in"'), "plate_text", "extension_mm"),
    (strut_text(plate_text='"3 1/4 in ± 1/4 in"'), "plate_text", "extension_mm"),
    (strut_text(plate_text='"79 mm (3 1/8 in)"'), "plate_text", "extension_mm"),
    (strut_text(extension_table="[[3000, 90.0], [4000, 80.0]]"), "extension_mm", "extension_table"),
    (chart_text(lower_mm="79.38"), "lower_mm", "extension_table"),
    (chart_text(upper_mm="-1.0", lower_mm="-6.0"), "upper_mm", "extension_table"),
    (tire_text(flange_diameter_mm="445.0"), "flange_diameter_mm", "outside_diameter_mm"),
    (tire_text(loaded_radius_mm="222.5"), "loaded_radius_mm", "outside_diameter_mm"),
    (tire_text(loaded_radius_mm="95.0"), "flange_diameter_mm", "loaded_radius_mm"),
    (
        tire_text(pressure_lower_kPa="500", pressure_upper_kPa="480"),
        "pressure_lower_kPa",
        "pressure_upper_kPa",
    ),
    (tire_text(pressure_kPa="450", pressure_lower_kPa="470"), "pressure_lower_kPa", "pressure_kPa"),
    (tire_text(pressure_kPa="520", pressure_upper_kPa="500"), "pressure_kPa", "pressure_upper_kPa"),
]


@pytest.mark.parametrize("accept_units", [False, True])
@pytest.mark.parametrize(("text", "first", "second"), CASES)
def test_a_contradiction_names_both_keys(text: str, first: str, second: str, accept_units: bool) -> None:
    with pytest.raises(LegError, match=rf"{first}\b.* contradicts {second}\b"):
        read_leg(text, "LEG.toml", accept_units)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ("[[4000, 90.0], [3000, 110.0]]", "pressure 3000 follows 4000: write rising pressures"),
        ("[[4000, 90.0], [4000, 80.0]]", "pressure 4000 follows 4000: write rising pressures"),
        ("[[3000, 110.0], [4000, 9.5], [5000, 80.0]]", "its lengths rise and fall"),
    ],
)
def test_a_chart_that_cannot_be_is_refused(table: str, words: str) -> None:
    with pytest.raises(LegError, match=words):
        read_leg(chart_text(extension_table=table), "LEG.toml")


def test_a_negative_limit_without_a_chart_is_refused() -> None:
    with pytest.raises(LegError, match=r"lower_mm = -6\.35 is negative: .*only with extension_table"):
        read_leg(strut_text(lower_mm="-6.35"), "LEG.toml")


@pytest.mark.parametrize(
    "plate", ['"3 5/16 in"', '"84.1 mm"', '"3.31 in"', '"84 mm (3 5/16 in)"', '"see chart"', '""']
)
def test_a_plate_that_agrees_or_states_no_length_is_accepted(plate: str) -> None:
    assert read_leg(strut_text(plate_text=plate), "LEG.toml").require_strut().plate_text == plate.strip('"')


def test_a_value_on_its_own_limit_is_no_contradiction() -> None:
    strut = read_leg(strut_text(lower_mm="84.14"), "LEG.toml").require_strut()
    assert strut.lower_mm == strut.extension_mm
