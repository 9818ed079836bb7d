"""What LEG.toml may hold, what a leg gives, and the words of each error."""

import dataclasses
import math
import pickle
from pathlib import Path

import pytest

from tests.vision.leg.leg_texts import HEAD, STRUT, changed, chart_text, leg_text, strut_text, tire_text
from vision.errors import LegError
from vision.leg import HoseData, load_leg, read_leg

# The example of the project's contract, every key of it.
CONTRACT = """
aircraft = "Aster 210"
position = "left main"
leg_tag = 412                                  # optional
document = "demo manual 32-10-05 rev 3"
[strut]
form = "telescopic"
extension_mm = 84.14
lower_mm = 79.38
upper_mm = 90.49
plate_text = "3 5/16 in"
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 60.00
collar_diameter_mm = 101.2
cylinder_diameter_mm = 92.0
collar_recess_mm = 0.0
[tire]
outside_diameter_mm = 445.0
flange_diameter_mm = 190.5
section_width_mm = 160.0
loaded_radius_mm = 180.0
line = "none"
line_reference = "ground"
line_clock_deg = [150, 210]
line_limit_deg = 3.0
creep_limit_mm = 5.0
pressure_kPa = 480.0
pressure_lower_kPa = 470
pressure_upper_kPa = 500
pressure_state = "loaded"
pressure_temperature_C = -5
[hose]
diameter_mm = 12.7
cover = "rubber"
"""


def read(text: str, accept_units: bool = False):
    return read_leg(text, "LEG.toml", accept_units)


def test_the_contracts_example_is_read_whole() -> None:
    leg = read(CONTRACT)
    strut, tire = leg.require_strut(), leg.require_tire()
    assert (leg.aircraft, leg.position, leg.leg_tag) == ("Aster 210", "left main", 412)
    assert (strut.extension_mm, strut.lower_mm, strut.upper_mm) == (84.14, 79.38, 90.49)
    assert (strut.piston_diameter_mm, strut.collar_diameter_mm, strut.cylinder_diameter_mm) == (60, 101.2, 92)
    assert (strut.measured_from, strut.measured_to, strut.form) == ("band", "collar", "telescopic")
    assert (tire.outside_diameter_mm, tire.flange_diameter_mm) == (445.0, 190.5)
    assert (tire.section_width_mm, tire.loaded_radius_mm) == (160.0, 180.0)
    pressure = leg.tire_pressure
    assert pressure is not None
    assert (pressure.lower_kpa, pressure.upper_kpa, pressure.state) == (470, 500, "loaded")
    assert pressure.temperature_c == -5
    assert leg.hoses == (
        HoseData("", 12.7, 0.05 * 12.7, "rubber", "demo manual 32-10-05 rev 3", frozenset({"diameter_mm"})),
    )


def test_what_is_left_out_takes_the_contracts_defaults() -> None:
    leg = read(leg_text())
    strut, tire = leg.require_strut(), leg.require_tire()
    assert (strut.form, strut.cylinder_diameter_mm, strut.collar_recess_mm) == ("telescopic", None, 0.0)
    assert (tire.line, tire.line_reference, tire.line_clock_deg) == ("none", "ground", (150.0, 210.0))
    assert (tire.creep_limit_mm, leg.tire_pressure, leg.hoses, leg.leg_tag) == (None, None, (), None)


def test_a_doubt_that_is_not_given_takes_a_default_that_is_named() -> None:
    strut = read(strut_text(cylinder_diameter_mm="92.0", collar_recess_mm="-1.5")).require_strut()
    assert (strut.piston_diameter_u_mm, strut.collar_diameter_u_mm) == (0.05, 0.3)
    assert (strut.cylinder_diameter_u_mm, strut.collar_recess_u_mm) == (0.3, 0.05)
    assert strut.assumed == {
        "piston_diameter_mm",
        "collar_diameter_mm",
        "cylinder_diameter_mm",
        "collar_recess_mm",
    }


def test_a_doubt_that_is_given_is_taken_and_not_named_as_assumed() -> None:
    strut = read(strut_text(piston_diameter_u_mm="0.02", collar_diameter_u_mm="0")).require_strut()
    assert (strut.piston_diameter_u_mm, strut.collar_diameter_u_mm) == (0.02, 0.0)
    assert strut.assumed == frozenset()


def test_no_recess_is_no_doubt() -> None:
    strut = read(strut_text(collar_recess_mm="0.0")).require_strut()
    assert strut.collar_recess_u_mm == 0.0
    assert "collar_recess_mm" not in strut.assumed


def test_a_value_may_name_its_own_document() -> None:
    strut = read(
        strut_text(piston_diameter_document='"calliper 7, 2025"', upper_mm_document='"bulletin 3"')
    ).require_strut()
    assert strut.document_of("piston_diameter_mm") == "calliper 7, 2025"
    assert strut.document_of("collar_diameter_mm") == "demo manual 32-10-05 rev 3"
    told = strut.limits().limits
    assert told is not None
    assert told.document == "demo manual 32-10-05 rev 3; bulletin 3"


def test_a_table_may_name_its_own_document() -> None:
    leg = read(tire_text(document='"tire book"'))
    assert (leg.require_tire().document, leg.require_strut().document) == (
        "tire book",
        "demo manual 32-10-05 rev 3",
    )


def test_several_hoses_are_told_apart_by_name() -> None:
    hose = '[[hose]]\nname = "{}"\ndiameter_mm = 12.7\ncover = "textile"\n'
    leg = read(HEAD + hose.format("brake") + hose.format("lock"))
    assert [each.name for each in leg.hoses] == ["brake", "lock"]
    with pytest.raises(LegError, match=r"several \[\[hose\]\] need a name each"):
        read(HEAD + hose.format("brake") + hose.format("brake"))


def test_a_leg_is_frozen_and_travels_to_another_process() -> None:
    leg = read(CONTRACT)
    assert pickle.loads(pickle.dumps(leg)) == leg
    with pytest.raises(dataclasses.FrozenInstanceError):
        leg.require_strut().extension_mm = 1.0  # type: ignore[misc]


# --- what a measurement needs ------------------------------------------------


def test_every_missing_key_of_the_strut_is_named_at_once() -> None:
    leg = read(HEAD + "[strut]\npiston_diameter_mm = 60.0\n")
    with pytest.raises(LegError) as caught:
        leg.require_strut()
    for key in (
        "extension_mm or extension_table",
        "lower_mm or upper_mm",
        "measured_from",
        "measured_to",
        "collar_diameter_mm",
    ):
        assert key in str(caught.value)
    assert "piston_diameter_mm" not in str(caught.value)


def test_every_missing_key_of_the_tire_is_named_at_once() -> None:
    with pytest.raises(LegError, match=r"\[tire\] with outside_diameter_mm, flange_diameter_mm"):
        read(HEAD).require_tire()


@pytest.mark.parametrize("side", ["lower_mm", "upper_mm"])
def test_one_limit_is_enough(side: str) -> None:
    limits = read(strut_text(**{side: None})).require_strut().limits().limits
    assert limits is not None
    assert (limits.lower is None) == (side == "lower_mm")


@pytest.mark.parametrize("form", ["trailing_link", "spring"])
def test_a_form_that_no_photo_measures_needs_no_diameters_so_that_it_can_be_refused_by_name(
    form: str,
) -> None:
    strut = read(HEAD + f'[strut]\nform = "{form}"\n').require_strut()
    assert strut.form == form
    assert math.isnan(strut.piston_diameter_mm)


# --- wrong names, wrong types ------------------------------------------------


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (
            strut_text(piston_dia_mm="60.0", piston_diameter_mm=None),
            "nearest known key is piston_diameter_mm",
        ),
        (strut_text(piston_diameter_in="2.36", piston_diameter_mm=None), "nearest known key is piston_diam"),
        (strut_text(piston_diameter_mm_u="0.05"), "there already: .*, or piston_diameter_u_mm was meant"),
        (strut_text(pistn_diameter_mm="60.0"), "nearest known key is piston_diameter_mm, which is there"),
        (tire_text(flange_dia_mm="190.0"), r"\[tire\] flange_dia_mm is not a known key"),
        (tire_text(extension_mm="84.0"), r"it belongs in \[strut\]"),
        (strut_text(leg_tag="412"), r"it belongs above the first \[table\]"),
        (HEAD + "piston_diameter_mm = 60.0\n", r"it belongs in \[strut\]"),
        (HEAD + "[struts]\n", r"struts is not a known key: the nearest known key is"),
        (HEAD + "[[strut]]\n[[strut]]\n", r"strut is not one table: write \[strut\] once"),
        (HEAD + "hose = 3\n", r"hose is not a table: write \[hose\]"),
        (strut_text(lower_mm=None, lower_u_mm="0.1"), "lower_u_mm doubts a value that is not there"),
        (
            strut_text(upper_document='"a"', upper_mm_document='"b"'),
            "upper_document and upper_mm_document both name the source of upper_mm",
        ),
    ],
)
def test_a_key_that_is_not_known_is_named_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(LegError, match=words):
        read(text)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ('"60 mm"', "is not a number: write digits without quotes"),
        ("true", "is not a number"),
        ("[60.0]", "is not a number"),
        ("2025-01-01", "is not a number"),
        ("nan", "is not finite"),
        ("inf", "is not finite"),
        ("1" + "0" * 400, "is not finite"),
        ("-60.0", "must be greater than 0: write it in mm"),
        ("0", "must be greater than 0"),
    ],
)
def test_a_diameter_that_is_no_positive_number_is_refused(value: str, words: str) -> None:
    for accept in (False, True):
        with pytest.raises(LegError, match=rf"LEG\.toml: \[strut\] piston_diameter_mm = .*{words}"):
            read(strut_text(piston_diameter_mm=value), accept)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (strut_text(piston_diameter_u_mm="-0.1"), "piston_diameter_u_mm = -0.1 is negative"),
        (strut_text(piston_diameter_u_mm="nan"), "piston_diameter_u_mm = nan is not finite"),
        (strut_text(plate_text="3"), "plate_text = 3 is not a text: write it in quotes"),
        (strut_text(measured_from='"axle"'), "write one of band, block, face, pin_centre"),
        (strut_text(form='"levered"'), "write one of telescopic, trailing_link, spring"),
        (strut_text(measured_to="1"), "measured_to = 1 is not known: write one of collar"),
        (chart_text(extension_table="[[3000, 110.0]]"), "needs two rows or more"),
        (chart_text(extension_table="[[3000, 110.0], [4000]]"), "where two numbers belong"),
        (chart_text(extension_table="[[3000, 110.0], [4000, nan]]"), "is not finite"),
        (chart_text(extension_table="[[3000, 110.0], [4000, -1.0]]"), "must be greater than 0"),
        (tire_text(line_clock_deg="[150, 400]"), "clock angles from 0 to 360"),
        (tire_text(line_clock_deg="150"), "where two numbers belong"),
        (tire_text(pressure_state='"cold"'), "write one of loaded, unloaded"),
        (leg_text(head=HEAD + "leg_tag = 12\n"), "leg_tag = 12 is no leg tag: write a whole number from 400"),
        (leg_text(head=HEAD + "leg_tag = true\n"), "leg_tag = True is no leg tag"),
        (leg_text(head=HEAD + "leg_tag = 412.0\n"), "leg_tag = 412.0 is no leg tag"),
    ],
)
def test_a_value_of_the_wrong_kind_is_refused_with_what_to_write(text: str, words: str) -> None:
    with pytest.raises(LegError, match=words.replace("[", r"\[")):
        read(text)


# --- files -------------------------------------------------------------------


def test_a_syntax_error_is_told_with_its_line() -> None:
    with pytest.raises(LegError, match=r"LEG\.toml: no valid TOML, .*line 5"):
        read(leg_text(strut="extension_mm = 84,14\n"))


def test_a_key_written_twice_is_an_error() -> None:
    with pytest.raises(LegError, match="no valid TOML"):
        read(leg_text(strut=STRUT + "upper_mm = 95.0\n"))


def test_a_deeply_nested_text_is_an_error_and_no_crash() -> None:
    with pytest.raises(LegError, match="no valid TOML"):
        read("a = " + "[" * 20_000)


def test_a_file_and_its_text_give_the_same_leg(tmp_path: Path) -> None:
    file = tmp_path / "left.toml"
    file.write_text(leg_text(), encoding="utf-8-sig")
    for path in (file, str(file)):
        assert dataclasses.replace(load_leg(path), source="leg") == load_leg(leg_text())


@pytest.mark.parametrize("data", [b"\xff\xfe\x00a", b"# " + b"x" * 1_100_000])
def test_a_file_that_is_no_legs_data_is_an_error(tmp_path: Path, data: bytes) -> None:
    file = tmp_path / "left.toml"
    file.write_bytes(data)
    with pytest.raises(LegError, match=r"left\.toml: .*give"):
        load_leg(file)


def test_a_file_that_is_not_there_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(LegError, match=r"gone\.toml: the leg's data cannot be read"):
        load_leg(tmp_path / "gone.toml")


def test_a_changed_line_is_really_changed() -> None:
    assert changed("a = 1\nb = 2\n", b="3") == "a = 1\nb = 3\n"


def test_a_number_too_long_for_any_value_is_told_as_wrong_data() -> None:
    with pytest.raises(LegError, match="no valid TOML"):
        read_leg(f"aircraft = {'9' * 5000}\n", "long.toml")
