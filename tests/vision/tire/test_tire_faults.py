"""What must never give a number: other circles, missing and doubled lines and marks, shadows for the ground."""

from dataclasses import replace

import numpy as np
import pytest

from tests.scenes.wheel_scene import project, sidewall_depth
from tests.vision.tire.tire_scene import SCENE, leg, measured, named, photo_of, reading, refusal, taps
from vision import notes
from vision.results import Reading, Refusal
from vision.tire import Told, measure_tire


def all_refused(told: Told) -> set[str]:
    found = measure_tire(photo_of(SCENE), leg(), told=told)
    assert all(isinstance(result, Refusal) for result in found.results)
    return {result.remedy.code for result in found.results if isinstance(result, Refusal)}


def test_a_tapped_second_circle_is_never_taken_for_the_flange() -> None:
    assert all_refused(taps(SCENE, SCENE.second_circle)) == {notes.NOT_THE_FLANGE.code}


def test_a_tapped_outline_of_the_tire_is_never_taken_for_the_flange() -> None:
    codes = all_refused(taps(SCENE, 445 / 190.5, 0.9 * SCENE.section[3]))
    assert codes <= {
        "tire-outline-not-found",
        "tire-diameters-disagree",
        "flange-not-round",
        "flange-not-found",
    }


def test_a_tapped_rib_of_the_sidewall_is_never_taken_for_the_flange() -> None:
    share = 1 + 0.75 * (445 / 190.5 - 1)
    assert all_refused(taps(SCENE, share, -20.0))


def test_a_tapped_flange_gives_what_the_search_gives() -> None:
    found = named(measure_tire(photo_of(SCENE), leg(), told=taps(SCENE)), "loaded_radius")
    assert isinstance(found, Reading)
    assert found.value == pytest.approx(reading("loaded_radius").value, abs=0.3)


def test_the_rims_number_in_place_of_the_flange_is_refused() -> None:
    # 17.5x6.25-6: the visible flange is 7.5 in and not 6 (tire makers' data handbook, bias tires; from a copy of its table).
    found = measure_tire(photo_of(SCENE), leg(flange_diameter_mm="152.4"))
    codes = {result.remedy.code for result in found.results if isinstance(result, Refusal)}
    assert codes == {notes.DIAMETERS_DISAGREE.code}
    assert "the leg says 445 mm" in found.results[0].reason  # type: ignore[union-attr]


def test_a_cap_that_stands_out_does_not_hide_which_circle_is_the_flange() -> None:
    capped = replace(SCENE, cap_depth_mm=30.0, second_circle=0.9)
    assert reading("outside_diameter", capped).value == pytest.approx(445, abs=2.5)


def test_a_missing_line_is_a_refusal() -> None:
    assert refusal("pressure_line_angle", line_angle_deg=None).remedy == notes.LINE_NOT_FOUND


def test_a_line_elsewhere_is_a_refusal_that_says_where() -> None:
    found = refusal("pressure_line_angle", line_clock_deg=255.0, line_angle_deg=-75.0)
    assert found.remedy == notes.LINE_ELSEWHERE
    assert "at 25" in found.reason
    assert "from 150° to 210°" in found.reason


def test_two_lines_are_a_question() -> None:
    found = refusal("pressure_line_angle", second_line_radius=0.25, line_radius=0.55, line_length_mm=60.0)
    assert found.remedy == notes.LINES_SEVERAL


def test_a_moulded_ring_is_no_line() -> None:
    assert refusal("pressure_line_angle", line_angle_deg=None, rib=0.5).remedy == notes.LINE_NOT_FOUND


@pytest.mark.parametrize(
    ("changes", "remedy"),
    [
        ({"mark_clock_deg": None}, notes.MARK_NOT_FOUND),
        ({"mark_parts": "rim"}, notes.MARK_ONE_SIDED),
        ({"mark_parts": "tire"}, notes.MARK_ONE_SIDED),
        ({"second_mark_clock_deg": 200.0}, notes.MARKS_SEVERAL),
        ({"creep_deg": 45.0}, notes.MARKS_SEVERAL),
        ({"remnant": (75.0, "tire", 0.9, 20.0)}, notes.MARKS_SEVERAL),
    ],
)
def test_marks_that_do_not_tell_are_refused(changes: dict[str, object], remedy: notes.Remedy) -> None:
    for name in ("creep_angle", "creep_arc"):
        assert refusal(name, **changes).remedy == remedy


def test_a_faint_remnant_far_away_is_noted_and_not_read() -> None:
    scene = replace(SCENE, remnant=(250.0, "tire", 0.3, 15.0))
    result = reading("creep_angle", scene)
    assert result.value == pytest.approx(2.0, abs=0.15)
    assert notes.MARK_REMNANT in result.notes


@pytest.mark.parametrize("shadow", [15.0, 40.0, 90.0])
def test_a_cast_shadows_edge_is_not_taken_for_the_ground_contact(shadow: float) -> None:
    result = named(measured(replace(SCENE, hard_shadow_mm=shadow)), "loaded_radius")
    assert isinstance(result, Refusal) or abs(result.value - 182) < result.expanded_uncertainty


def test_two_taps_tell_the_ground_where_it_is_hidden() -> None:
    x, y = np.array([-35.0, 35.0]), np.full(2, 182.0)
    px = project(SCENE, np.column_stack([x, y, sidewall_depth(SCENE, x, y)]))
    found = measure_tire(photo_of(SCENE), leg(), told=Told(ground_px=px))
    line, loaded = named(found, "pressure_line_angle"), named(found, "loaded_radius")
    assert isinstance(loaded, Reading)
    assert abs(loaded.value - 182) < loaded.expanded_uncertainty
    assert isinstance(line, Reading)
    assert found.level_from == "ground contact, two taps"
    assert abs(line.value - 1.5) < line.expanded_uncertainty


def test_a_blurred_wheel_is_refused_as_blurred() -> None:
    found = measured(replace(SCENE, blur_px=6.0))
    assert {r.remedy.code for r in found.results if isinstance(r, Refusal)} == {notes.WHEEL_BLURRED.code}


def test_a_wheel_far_aside_is_refused_or_its_doubt_covers() -> None:
    found = measured(replace(SCENE, tilt_deg=34.0, pitch_deg=12.0))
    for name, true in (("pressure_line_angle", 1.5), ("creep_angle", 2.0), ("loaded_radius", 182.0)):
        result = named(found, name)
        assert isinstance(result, Refusal) or abs(result.value - true) < result.expanded_uncertainty
