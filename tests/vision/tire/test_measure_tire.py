"""A whole tire measured on pictures with known truth: values within U, and what is asked."""

from dataclasses import replace

import pytest

from tests.scenes.wheel_scene import truth_of
from tests.vision.tire.tire_scene import LEG, SCENE, leg, measured, named, photo_of, reading
from vision import notes
from vision.errors import LegError
from vision.results import Reading, Refusal, Verdict
from vision.tire import asked, measure_tire

TRUTH = truth_of(SCENE)


@pytest.mark.parametrize(
    ("name", "true", "within"),
    [
        ("pressure_line_angle", 1.5, 0.35),
        ("creep_angle", 2.0, 0.15),
        ("creep_arc", TRUTH.creep_arc_mm, 0.25),
        ("outside_diameter", 445.0, 2.0),
        ("loaded_radius", 182.0, 1.8),
        ("deflection", TRUTH.deflection, 0.015),
    ],
)  # fmt: skip
def test_a_fair_photo_gives_each_quantity_within_its_doubt(name: str, true: float, within: float) -> None:
    result = reading(name)
    assert result.value == pytest.approx(true, abs=within)
    assert abs(result.value - true) < result.expanded_uncertainty


def test_the_results_come_in_the_contracts_order_and_tell_who_told_level() -> None:
    found = measured(SCENE)
    assert [result.name for result in found.results] == [
        "pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius", "deflection",
    ]  # fmt: skip
    assert found.level_from == "ground contact"


def test_a_leg_without_line_and_creep_limit_is_asked_for_sizes_only() -> None:
    data = leg("\n".join(LEG.splitlines()[:4]) + "\n")
    assert data.tire is not None
    assert asked(data.tire) == ("outside_diameter", "loaded_radius", "deflection")


def test_the_budgets_squares_add_up_to_u() -> None:
    for name in ("pressure_line_angle", "creep_arc", "loaded_radius"):
        result = reading(name)
        combined = sum(line.standard_uncertainty**2 for line in result.budget) ** 0.5
        assert 1.96 * combined == pytest.approx(result.expanded_uncertainty, rel=0.01)


def test_verdicts_hold_value_and_u_against_the_legs_limits() -> None:
    assert reading("pressure_line_angle").verdict is Verdict.WITHIN
    assert reading("creep_arc").verdict is Verdict.WITHIN
    crept = reading("creep_arc", replace(SCENE, creep_deg=5.0))
    assert crept.verdict is Verdict.OUTSIDE
    assert reading("outside_diameter").verdict is None


@pytest.mark.parametrize("creep", [-4.0, 4.0])
def test_slip_is_positive_counter_clockwise(creep: float) -> None:
    assert reading("creep_angle", replace(SCENE, creep_deg=creep)).value == pytest.approx(creep, abs=0.15)


def test_the_arc_is_the_angle_at_the_flange_edge() -> None:
    # 1/4 in of arc is 3.82° on a flange of 7.5 in (computed: arc / radius).
    angle, arc = reading("creep_angle"), reading("creep_arc")
    assert arc.value / angle.value == pytest.approx(6.35 / 3.82, rel=0.005)


@pytest.mark.parametrize("tilt", [-18.0, 1.0, 18.0])
def test_the_wheel_found_is_the_true_one_from_either_side(tilt: float) -> None:
    result = reading("creep_angle", replace(SCENE, tilt_deg=tilt))
    assert result.value == pytest.approx(2.0, abs=0.2)
    assert result.evidence["tilt_deg"] == pytest.approx(abs(tilt), abs=2.5)


def test_without_a_section_width_the_doubt_is_larger_and_said() -> None:
    plain = "\n".join(line for line in LEG.splitlines() if "section" not in line) + "\n"
    found = named(measure_tire(photo_of(SCENE), leg(plain)), "outside_diameter")
    assert isinstance(found, Reading)
    assert found.expanded_uncertainty > reading("outside_diameter").expanded_uncertainty
    assert notes.SECTION_ASSUMED in found.notes


def test_the_books_range_of_diameters_is_in_the_deflection() -> None:
    sources = {line.source for line in reading("deflection").budget}
    assert "outside diameter by the book" in sources


def test_gravity_is_a_second_statement_and_the_slope_of_the_floor_shows() -> None:
    sloping = replace(SCENE, ground_slope_deg=1.0)
    photo = photo_of(sloping, truth_of(sloping).gravity)
    by_ground = named(measure_tire(photo, leg()), "pressure_line_angle")
    by_gravity = named(measure_tire(photo, leg(line_reference='"gravity"')), "pressure_line_angle")
    assert isinstance(by_ground, Reading)
    assert isinstance(by_gravity, Reading)
    assert by_ground.value - by_gravity.value == pytest.approx(1.0, abs=0.35)
    assert by_ground.evidence["level_reference"] == "ground"
    assert by_gravity.evidence["level_from"] == "gravity in the file"


def test_a_leg_without_diameters_is_wrong_data() -> None:
    with pytest.raises(LegError, match="outside_diameter_mm"):
        measure_tire(photo_of(SCENE), leg("[tire]\nflange_diameter_mm = 190.5\n"))


def test_another_legs_diameters_are_refused_with_both_numbers() -> None:
    found = measure_tire(photo_of(SCENE), leg(outside_diameter_mm="520.0"))
    assert all(isinstance(result, Refusal) for result in found.results)


def test_a_picture_without_a_wheel_is_refused_for_every_quantity() -> None:
    empty = replace(SCENE, distance_mm=1500.0, aim_mm=(900.0, -300.0))
    found = measured(empty)
    assert {result.remedy.code for result in found.results if isinstance(result, Refusal)} <= {
        "wheel-not-found", "wheel-blurred",
    }  # fmt: skip
    assert not any(found.results)


def test_a_dark_tire_before_a_wall_hardly_lighter_is_told_by_its_outline() -> None:
    # A step of 1 % of white; in ln it is as high as any.
    scene = replace(SCENE, wall_level=0.075, exposure=0.35, noise=0.002, clutter=0)
    result = reading("outside_diameter", scene)
    assert abs(result.value - 445.0) < result.expanded_uncertainty


def test_where_no_contact_is_seen_the_tire_is_taken_as_squashed_as_usual_and_the_doubt_says_so() -> None:
    # From so high above, the contact is seen too steeply to be used.
    scene = replace(SCENE, pitch_deg=27.0, tilt_deg=4.0)
    photo = photo_of(scene, truth_of(scene).gravity)
    found = measure_tire(photo, leg(line_reference='"gravity"'))
    assert isinstance(named(found, "loaded_radius"), Refusal)
    result = named(found, "pressure_line_angle")
    assert isinstance(result, Reading)
    assert "how far the tire is squashed" in [line.source for line in result.budget]
    assert abs(result.value - 1.5) < result.expanded_uncertainty


def test_a_wheel_in_the_dark_is_refused_as_dark_and_not_as_blurred() -> None:
    # Against the light of a door: the wall behind is bright, the wheel has a hundredth of its light.
    scene = replace(
        SCENE, exposure=0.6, wall_level=0.9, rim_level=0.008, rubber_level=0.002, ground_level=0.01
    )
    result = named(measured(scene), "outside_diameter")
    assert isinstance(result, Refusal)
    assert result.remedy == notes.WHEEL_DARK
