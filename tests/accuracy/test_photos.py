"""Photos with truth files from elsewhere, and what is said of those that are not such."""

import json
import shutil
from pathlib import Path

import pytest

from tests.accuracy.photos import find_photos, leg_of_truth, measure_photo, read_truth

DEMO = Path(__file__).parents[2] / "demo_images"


def test_the_demo_photos_are_such_a_folder() -> None:
    found = find_photos(DEMO)
    assert len(found) == 16
    for photo in found:
        truth = read_truth(photo)
        assert leg_of_truth(truth, photo, DEMO).position


def test_a_photo_is_measured_with_what_its_truth_file_tells(tmp_path: Path) -> None:
    shutil.copy(DEMO / "reads_within" / "nose_hangar.jpg", tmp_path / "one.JPG")
    leg = (DEMO / "legs" / "nose.toml").read_text(encoding="utf-8")
    truth = {
        "truth_mm": 62.4,
        "truth_u_mm": 0.1,
        "leg": leg,
        "stand_off_mm": 9.0,
        "cell": {"light": "hangar"},
    }
    (tmp_path / "one.truth.json").write_text(json.dumps(truth), encoding="utf-8")
    row = measure_photo(tmp_path / "one.JPG", tmp_path)
    assert row["status"] == "reading"
    assert abs(row["error"]) <= max(0.5, row["U"])
    assert row["cell"]["set"] == "photos fair"
    assert (row["cell"]["light"], row["cell"]["stand-off"]) == ("hangar", "told")
    assert "unlike" not in row


def test_a_reading_where_nothing_can_be_read_and_another_refusal_are_told(tmp_path: Path) -> None:
    photo = tmp_path / "one.jpg"
    shutil.copy(DEMO / "refuses" / "no_card.jpg", photo)
    shutil.copytree(DEMO / "legs", tmp_path / "legs")
    truth = {
        "extension_mm": None,
        "leg_file": "nose.toml",
        "expected": {"status": "refused", "cause": "glare"},
    }
    (tmp_path / "one.jpg.truth.json").write_text(json.dumps(truth), encoding="utf-8")
    row = measure_photo(photo, tmp_path)
    assert row["cell"]["set"] == "photos other"
    assert row["unlike"] == f"cause {row['cause']}, expected glare"


@pytest.mark.parametrize(
    "truth, words",
    [
        ("{", "not JSON"),
        ('{"leg": "x = 1"}', '"extension_mm" .* is missing'),
        ('{"extension_mm": 1.0}', "the leg's data are missing"),
    ],
)
def test_a_truth_file_that_lacks_something_says_what(tmp_path: Path, truth: str, words: str) -> None:
    (tmp_path / "one.truth.json").write_text(truth, encoding="utf-8")
    with pytest.raises(ValueError, match=words):
        read_truth(tmp_path / "one.jpg")


def test_a_leg_file_that_is_nowhere_names_where_it_was_looked_for(tmp_path: Path) -> None:
    truth = {"extension_mm": 1.0, "leg_file": "lost.toml"}
    with pytest.raises(FileNotFoundError, match=r"lost\.toml lies neither beside it nor in a folder legs"):
        leg_of_truth(truth, tmp_path / "one.jpg", tmp_path)


def test_data_that_the_program_does_not_take_count_as_refused(tmp_path: Path) -> None:
    shutil.copy(DEMO / "reads_within" / "nose_hangar.jpg", tmp_path / "one.jpg")
    (tmp_path / "one.truth.json").write_text(
        json.dumps({"extension_mm": 62.4, "leg": 'aircraft = "x"\nposition = "nose"\n'}), encoding="utf-8"
    )
    row = measure_photo(tmp_path / "one.jpg", tmp_path)
    assert (row["status"], row["cause"]) == ("refused", "data")
