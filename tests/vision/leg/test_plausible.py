"""Values that look like another unit: both readings are named, and the person decides."""

import pytest

from tests.vision.leg.leg_texts import HEAD, STRUT, chart_text, strut_text, tire_text
from vision.errors import LegError
from vision.leg import read_leg


def read(text: str, accept_units: bool = False):
    return read_leg(text, "LEG.toml", accept_units)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            strut_text(piston_diameter_mm="2.36"),
            r"piston_diameter_mm = 2\.36 reads as 2\.36 mm; 2\.36 in would be 59\.94 mm.*--accept-units",
        ),
        (strut_text(piston_diameter_mm="0.06"), r"0\.06 m would be 60\.00 mm"),
        (strut_text(piston_diameter_mm="6.0"), r"6 cm would be 60\.00 mm"),
        (strut_text(piston_diameter_mm="60000"), r"60000 µm would be 60\.00 mm.*so large"),
        (
            strut_text(collar_diameter_mm="3.98"),
            r"collar_diameter_mm = 3\.98 reads as 3\.98 mm; 3\.98 in would",
        ),
        (
            strut_text(extension_mm="3.3125"),
            r"extension_mm = 3\.3125 reads as .*3\.3125 in would be 84\.14 mm",
        ),
        (strut_text(extension_mm="900"), r"900 mm; 5 to 700 mm was expected"),
        (
            strut_text(lower_mm="3.125", upper_mm="3.5625"),
            r"lower_mm = 3\.125 .*3\.125 in would be 79\.38 mm",
        ),
        (strut_text(lower_mm=None, upper_mm="3.5625"), r"upper_mm = 3\.5625 .* beside extension_mm = 84\.14"),
        (strut_text(lower_mm="7.938", upper_mm=None), r"lower_mm = 7\.938 .*7\.938 cm would be 79\.38 mm"),
        (
            strut_text(extension_mm="5.5", lower_mm="130", upper_mm="150", plate_text=None),
            r"extension_mm = 5\.5 .*5\.5 in would be 139\.70 mm beside lower_mm = 130",
        ),
        (
            strut_text(extension_mm="6.0", lower_mm="5.75", upper_mm="6.25", plate_text=None),
            r"lower_mm = 5\.75 reads as 0\.25 mm from extension_mm = 6; 0\.25 in would be 6\.35 mm",
        ),
        (
            chart_text(lower_mm="-0.25", upper_mm="0.25"),
            r"lower_mm = -0\.25 reads as 0\.25 mm from the chart",
        ),
        (chart_text(extension_table="[[30, 110], [40, 90]]"), r"30 bar would be 3000\.00 kPa"),
        (chart_text(extension_table="[[3, 110], [4, 90]]"), r"3 MPa would be 3000\.00 kPa"),
        (chart_text(extension_table="[[3000, 4.3], [4000, 3.5]]"), r"4\.3 in would be 109\.22 mm"),
        (strut_text(piston_diameter_u_mm="50"), r"piston_diameter_u_mm = 50 reads as 50 mm.*50 thousandths"),
        (tire_text(outside_diameter_mm="17.5"), r"17\.5 in would be 444\.50 mm"),
        (tire_text(flange_diameter_mm="7.5"), r"7\.5 in would be 190\.50 mm"),
        (tire_text(section_width_mm="6.25"), r"6\.25 in would be 158\.75 mm"),
        (tire_text(creep_limit_mm="0.25"), r"0\.25 in would be 6\.35 mm"),
        (tire_text(line_limit_deg="0.0524"), r"0\.0524 rad would be 3\.00 deg"),
        (tire_text(pressure_kPa="70"), r"70 psi would be 482\.63 kPa"),
        (tire_text(pressure_kPa="4.8"), r"4\.8 bar would be 480\.00 kPa"),
        (
            tire_text(pressure_kPa="1380", pressure_lower_kPa="195"),
            r"pressure_lower_kPa = 195 .*195 psi would be 1344\.48 kPa beside pressure_kPa = 1380",
        ),
        (tire_text(pressure_temperature_C="288"), r"288 C; -60 to 90 C was expected"),
        (HEAD + "[hose]\ndiameter_mm = 0.5\n", r"\[hose\] diameter_mm = 0\.5 .*0\.5 in would be 12\.70 mm"),
    ],
)
def test_a_value_that_looks_like_another_unit_is_refused_with_both_readings(text: str, words: str) -> None:
    with pytest.raises(LegError, match=words):
        read(text)


def test_accepted_units_are_taken_as_written() -> None:
    text = strut_text(piston_diameter_mm="12.0", collar_diameter_mm="18.0")
    assert read(text, accept_units=True).require_strut().piston_diameter_mm == 12.0


@pytest.mark.parametrize(
    ("piston", "collar", "extension"),
    [
        ("28", "45", "40"),
        ("45", "60", "95"),
        ("60", "101.2", "84"),
        ("150", "190", "260"),
        ("320", "380", "500"),
    ],
)
def test_struts_from_light_to_heavy_pass(piston: str, collar: str, extension: str) -> None:
    text = strut_text(
        piston_diameter_mm=piston,
        collar_diameter_mm=collar,
        extension_mm=extension,
        lower_mm=f"{float(extension) - 6.35}",
        upper_mm=f"{float(extension) + 6.35}",
        plate_text=None,
    )
    assert read(text).require_strut().extension_mm == float(extension)


def test_a_narrow_tolerance_passes_where_inches_would_be_too_long() -> None:
    text = strut_text(lower_mm="84.0", upper_mm="84.3")
    assert read(text).require_strut().lower_mm == 84.0


# Sizes of four tires in inches: tire makers' data handbook, bias tires (read in a copied table).
@pytest.mark.parametrize(
    ("outside", "loaded", "flange"),
    [(17.5, 6.9, 7.5), (22.0, 9.1, 11.62), (25.75, 11.2, 16.0), (44.5, 18.5, 24.2)],
)
def test_published_tires_pass_in_mm_and_are_caught_in_inches(
    outside: float, loaded: float, flange: float
) -> None:
    def text(factor: float) -> str:
        return tire_text(
            outside_diameter_mm=str(outside * factor),
            loaded_radius_mm=str(loaded * factor),
            flange_diameter_mm=str(flange * factor),
        )

    assert read(text(25.4)).require_tire().flange_diameter_mm == pytest.approx(flange * 25.4)
    with pytest.raises(LegError, match="in would be"):
        read(text(1.0))


def test_a_whole_leg_in_inches_never_passes() -> None:
    inches = {"extension_mm": 3.3125, "lower_mm": 3.0625, "upper_mm": 3.5625}
    # Without the diameters to give it away, over extensions from 1 to 27 inches.
    for start in range(1, 28):
        values = {name: str(value - 3.3125 + start) for name, value in inches.items()}
        with pytest.raises(LegError, match="in would be"):
            read(f"{HEAD}[strut]\n" + "\n".join(f"{k} = {v}" for k, v in values.items()))


def test_the_plain_strut_passes() -> None:
    assert read(f"{HEAD}[strut]\n{STRUT}").require_strut().upper_mm == 90.49
