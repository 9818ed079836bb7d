"""A calibrated camera of a tire's photo: chosen before it, kept with its try, read by the second person."""

import json
from pathlib import Path

import pytest

from app.inspection import Measured, TryState
from app.inspection.rounds.model import Finding
from app.inspection.rounds.tire_camera import CAMERA, FOLDER, camera_words, cameras_in
from app.inspection.rounds.tire_rules import Shown
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.tire_house import (
    begun,
    line_at,
    open_pressed_tire,
    place,
    read,
    tire_item,
)
from vision import notes
from vision.errors import CameraError
from vision.results import Refusal, to_json

TOLD = {
    "make": "Analytic", "model": "Wheel", "width_px": 4032, "height_px": 3024, "f_px": 3050.0, "f_u_px": 4.0,
    "cx_px": 2010.0, "cy_px": 1500.0, "k1": 0.012, "k1_u": 0.002, "gravity_offset_deg": 0.4,
    "date": "2026-03-02", "rms_px": 0.21,
}  # fmt: skip
WORDS = "Analytic Wheel, calibrated on 2026-03-02, 4032 × 3024 px, with its own down"
REFUSED = to_json(Refusal("pressure_line_angle", notes.LINE_NOT_FOUND)) | {"results": [], "level_from": None}


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


def test_a_photo_keeps_the_calibration_itself_and_is_measured_with_it(opened: RoundHouse) -> None:
    this = begun(opened, camera=TOLD)
    opened.use.photo_arrived(opened.mechanic, this.id, b"photo")
    kept = opened.use.try_of(opened.mechanic, this.id)
    assert kept.options[CAMERA] == TOLD
    assert f"Calibrated camera: {WORDS}." in kept.statements
    _, _, options = opened.use.task(this.id)
    assert options[CAMERA] == TOLD
    assert opened.house.archive.verify().faults == ()


def test_without_one_nothing_is_kept_and_nothing_stated(opened: RoundHouse) -> None:
    this = begun(opened)
    assert CAMERA not in this.options
    assert not any("Calibrated" in one for one in this.statements)


def test_the_second_person_reads_which_calibration_it_was(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4), camera=TOLD)
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    bare = opened.use.bare_tire(opened.inspector, tire_item(opened, "tire_line").id)
    assert bare is not None
    assert f"Calibrated camera: {WORDS}." in bare.statements
    assert place(opened, 0.6).finding is Finding.GOOD
    assert opened.house.archive.verify().faults == ()


def test_what_is_shown_on_the_photo_is_measured_with_the_same_calibration(opened: RoundHouse) -> None:
    this = read(opened, Measured(REFUSED), camera=TOLD)
    ground = [(100.0, 200.0), (180.0, 200.0)]
    again = opened.use.begin_shown(opened.mechanic, this.id, Shown.GROUND, ground)
    assert again.options[CAMERA] == TOLD
    assert f"Calibrated camera: {WORDS}." in again.statements


def test_the_same_photo_for_the_tires_other_question_has_the_same_calibration(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4), camera=TOLD)
    creep = tire_item(opened, "tire_creep").id
    second = opened.use.begin_with_photo_of(opened.mechanic, creep, this.id, Finding.GOOD)
    assert second.options[CAMERA] == TOLD


@pytest.mark.parametrize(
    ("wrong", "words"),
    [({"f_px": "3050"}, "f_px = '3050' is not a finite number"), ({"k1": 4.0}, "between -1 and 1")],
)
def test_what_is_no_calibration_begins_no_photo(
    opened: RoundHouse, wrong: dict[str, object], words: str
) -> None:
    with pytest.raises(CameraError, match=words):
        begun(opened, camera=TOLD | wrong)
    assert opened.use.tire_tries(opened.mechanic, tire_item(opened, "tire_line").id) == ()


def test_a_calibration_of_another_camera_is_said_and_gives_no_value(opened: RoundHouse) -> None:
    this = begun(opened, camera=TOLD)
    opened.use.photo_arrived(opened.mechanic, this.id, b"photo")
    opened.use.measuring_failed(this.id, "the calibration is of make 'Analytic', the photo of 'Other'")
    kept = opened.use.try_of(opened.mechanic, this.id)
    assert (kept.state, kept.result) == (TryState.FAILED, None)


def test_a_shops_calibrations_are_those_in_its_folder_and_what_is_none_is_named(tmp_path: Path) -> None:
    folder = tmp_path / FOLDER
    folder.mkdir()
    (folder / "phone-2.json").write_text(json.dumps(TOLD), encoding="utf-8")
    (folder / "phone-1.json").write_text(json.dumps(TOLD | {"gravity_offset_deg": None}), encoding="utf-8")
    (folder / "broken.json").write_text("{", encoding="utf-8")
    found, faults = cameras_in(tmp_path)
    assert list(found) == [f"phone-1: {WORDS.removesuffix(', with its own down')}", f"phone-2: {WORDS}"]
    assert found[f"phone-2: {WORDS}"] == TOLD
    assert len(faults) == 1
    assert "broken.json" in faults[0]
    assert cameras_in(tmp_path / "nowhere") == ({}, ())


def test_a_camera_without_a_name_is_called_so() -> None:
    assert camera_words(TOLD | {"make": "", "model": ""}).startswith("camera without a name, calibrated on")
