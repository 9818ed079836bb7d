"""A tire's photo through the measuring: its bytes in, all its results and a copy out, marks placed on it."""

from typing import Any

import pytest

from app.errors import MeasuringError, UsageError
from app.inspection import Measured
from app.inspection.rules import was_read
from app.measuring.job import MEASURING_TIRE, Asked, work
from app.measuring.worker import Worker
from app.remeasure.changes import Kind, change_of
from tests.scenes.wheel_photo import wheel_jpeg
from tests.vision.tire.tire_scene import LEG, SCENE, taps
from vision.errors import CameraError, LegError

OPTIONS = {"what": "tire", "asked": "pressure_line_angle", "own": "good"}


@pytest.fixture(scope="module")
def photo() -> bytes:
    return wheel_jpeg(SCENE)


@pytest.fixture(scope="module")
def told() -> list[str]:
    return []


@pytest.fixture(scope="module")
def measured(photo: bytes, told: list[str]) -> Measured:
    return work(Asked(photo, LEG, OPTIONS), told.append)


def test_the_result_is_what_the_item_asks_with_all_others_beside_it(measured: Measured) -> None:
    result = measured.result
    assert was_read(result) and result["name"] == "pressure_line_angle"
    assert abs(result["value"] - SCENE.line_angle_deg) < result["expanded_uncertainty"]
    assert [one["name"] for one in result["results"]] == [
        "pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius", "deflection",
    ]  # fmt: skip
    assert result["level_from"] == "ground contact"
    assert "software" in result["evidence"]
    assert measured.annotated is not None and measured.annotated.startswith(b"\xff\xd8")


def test_a_person_is_told_that_a_tire_is_measured(measured: Measured, told: list[str]) -> None:
    assert measured and told == ["reading the photo", MEASURING_TIRE, "drawing the result"]


def test_what_a_person_showed_on_the_photo_is_measured_with(photo: bytes) -> None:
    rim = [[float(x), float(y)] for x, y in taps(SCENE).rim_px]  # type: ignore[union-attr]
    shown = work(Asked(photo, LEG, OPTIONS | {"rim_px": rim}, draw=False), lambda _: None).result
    assert was_read(shown)
    assert abs(shown["value"] - SCENE.line_angle_deg) < shown["expanded_uncertainty"]
    cap = [[float(x), float(y)] for x, y in taps(SCENE, 0.5).rim_px]  # type: ignore[union-attr]
    wrong = work(Asked(photo, LEG, OPTIONS | {"rim_px": cap}, draw=False), lambda _: None).result
    assert wrong["status"] == "refused"  # so the points were used
    with pytest.raises(UsageError, match="lies outside the photo"):
        work(Asked(photo, LEG, OPTIONS | {"ground_px": [[1e6, 5.0], [9.0, 9.0]]}), lambda _: None)


CAMERA = {
    "make": "Analytic", "model": "Wheel", "width_px": 800, "height_px": 750, "f_px": 1250.0, "f_u_px": 2.0,
    "cx_px": 399.5, "cy_px": 374.5, "k1": 0.0, "k1_u": 0.002, "gravity_offset_deg": None, "date": "2026-03-02",
    "rms_px": 0.2,
}  # fmt: skip


def test_a_calibrated_camera_of_the_try_is_measured_with(measured: Measured, photo: bytes) -> None:
    result = work(Asked(photo, LEG, OPTIONS | {"camera": CAMERA}, draw=False), lambda _: None).result
    assert was_read(result) and result["evidence"]["focal_source"] == "calibration of 2026-03-02"
    assert abs(result["value"] - SCENE.line_angle_deg) < result["expanded_uncertainty"]

    def size_u(one: Measured | dict[str, Any]) -> float:
        told = one.result if isinstance(one, Measured) else one
        (size,) = (each for each in told["results"] if each["name"] == "outside_diameter")
        return float(size["expanded_uncertainty"])

    assert size_u(result) < size_u(measured)
    again = work(Asked(photo, LEG, OPTIONS | {"camera": CAMERA}, draw=False), lambda _: None).result
    line: dict[str, Any] = {
        "try": "a" * 32, "registration": "ZZ-GWT", "position": "tail", "begun_at": "2024-05-01T08:00:00+00:00",
        "before": result, "after": again,
    }  # fmt: skip
    assert change_of(line).kind is Kind.NOTHING


@pytest.mark.parametrize(
    ("other", "words"),
    [
        ({"model": "Another"}, "the calibration is of model 'Another'"),
        ({"width_px": 1600, "height_px": 1500, "cx_px": 800.0, "cy_px": 750.0}, "send the original photo"),
    ],
)
def test_a_calibration_of_another_camera_or_size_gives_no_value(
    photo: bytes, other: dict[str, Any], words: str
) -> None:
    with pytest.raises(CameraError, match=words):
        work(Asked(photo, LEG, OPTIONS | {"camera": CAMERA | other}, draw=False), lambda _: None)


def test_marks_on_the_lines_ends_agree_with_the_reading(measured: Measured) -> None:
    result = measured.result
    placed = Worker().placed_on_tire(result, "pressure_line_angle", result["evidence"]["line_px"])
    assert abs(placed.value - result["value"]) < placed.difference_u
    with pytest.raises(MeasuringError, match=r"not the two ends of a line.* Place both marks again"):
        Worker().placed_on_tire(result, "pressure_line_angle", [(5.0, 5.0), (700.0, 5.0)])
    with pytest.raises(MeasuringError, match="cannot be used"):
        Worker().placed_on_tire(result, "pressure_line_angle", [(5.0, 5.0)])


def test_measured_again_by_the_same_program_nothing_changes(measured: Measured, photo: bytes) -> None:
    again = work(Asked(photo, LEG, OPTIONS, draw=False), lambda stage: None)
    line: dict[str, Any] = {
        "try": "a" * 32, "registration": "ZZ-GWT", "position": "tail", "begun_at": "2024-05-01T08:00:00+00:00",
        "before": measured.result, "after": again.result,
    }  # fmt: skip
    assert change_of(line).kind is Kind.NOTHING
    assert again.annotated is None


def test_a_leg_that_does_not_ask_for_it_says_so(photo: bytes) -> None:
    without = "\n".join(one for one in LEG.splitlines() if not one.startswith("line"))
    with pytest.raises(LegError, match="do not ask for pressure_line_angle"):
        work(Asked(photo, without, OPTIONS), lambda stage: None)
