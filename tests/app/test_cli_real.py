"""The command line with the real measurement behind it: readings, refusals, the contract's JSON."""

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.app.cli_files import LEG, SPRING, Ended, cli, leg_file, photo_file

TRUE_MM = 88.9  # of the scene behind `strut_photo`
# What shops' scripts rely on: keys are added, never renamed.
RESULT_KEYS = {
    "name", "status", "value", "unit", "expanded_uncertainty", "coverage_probability", "verdict", "limits",
    "budget", "evidence", "notes", "reason", "advice",
}  # fmt: skip
EVIDENCE_KEYS = {
    "from_px", "to_px", "card_px", "axis_px", "elevation_deg", "px_per_mm", "second_scale_ratio"
}  # fmt: skip


@pytest.fixture(scope="module")
def measured(strut_photo: Path, tmp_path_factory: pytest.TempPathFactory) -> tuple[Ended, Path]:
    """One run, and the annotated copy that it wrote."""
    folder = tmp_path_factory.mktemp("measured")
    copy = folder / "copy.jpg"
    before = strut_photo.read_bytes()
    ended = cli(
        "measure", "strut", strut_photo, "--leg", leg_file(folder), "--stand-off", "0",
        "--stand-off-u", "0.5", "--check-bar", "200", "30", "--json", "--annotated", copy,
    )  # fmt: skip
    assert strut_photo.read_bytes() == before
    return ended, copy


def result_of(ended: Ended) -> dict[str, Any]:
    result: dict[str, Any] = json.loads(ended.out)
    assert set(result) == RESULT_KEYS | {"cause"}
    return result


def test_a_reading_ends_with_0_and_holds_the_truth(measured: tuple[Ended, Path]) -> None:
    ended, _ = measured
    result = result_of(ended)
    assert (ended.status, ended.err, result["status"]) == (0, "", "reading")
    assert abs(result["value"] - TRUE_MM) <= result["expanded_uncertainty"]
    assert result["verdict"] == "within"


def test_a_reading_has_the_shape_of_the_contract(measured: tuple[Ended, Path]) -> None:
    result = result_of(measured[0])
    document = "Aster 210 demo manual 32-10-05 rev 3"
    assert (result["name"], result["unit"], result["coverage_probability"]) == ("strut_extension", "mm", 0.95)
    assert result["limits"] == {"lower": 82.55, "upper": 95.25, "document": document}
    assert set(result["evidence"]) >= EVIDENCE_KEYS
    assert all(set(line) == {"source", "standard_uncertainty"} for line in result["budget"])
    assert result["budget"] and all(set(note) == {"code", "text"} for note in result["notes"])
    assert result["reason"] is None and result["advice"] is None


def test_the_annotated_copy_is_another_jpeg(measured: tuple[Ended, Path]) -> None:
    with Image.open(measured[1]) as picture:
        assert picture.format == "JPEG"
        assert min(picture.size) > 300
    assert [path.name for path in measured[1].parent.iterdir() if path.suffix != ".toml"] == ["copy.jpg"]


def test_a_reading_outside_its_limits_is_a_reading_and_ends_with_0(strut_photo: Path, tmp_path: Path) -> None:
    text = (
        LEG.replace("88.9", "75.0").replace("82.55", "70.0").replace("95.25", "80.0").replace("3 1/2 in", "")
    )
    ended = cli("measure", "strut", strut_photo, "--leg", leg_file(tmp_path, text), "--stand-off", "0")
    assert ended.status == 0
    assert "Outside the limits, too high: 70.00 mm to 80.00 mm (2.756 to 3.150 in)." in ended.out
    assert "airworthy" not in ended.out.lower()


def test_a_picture_of_20_pixels_is_refused_with_3(tmp_path: Path) -> None:
    photo = photo_file(tmp_path, size=(20, 20))
    ended = cli("measure", "strut", photo, "--leg", leg_file(tmp_path), "--json")
    result = result_of(ended)
    assert (ended.status, ended.err, result["status"], result["cause"]) == (3, "", "refused", "too-small")
    assert result["value"] is None and result["budget"] == []
    assert "20 × 20 px" in result["reason"] and "full size" in result["advice"]


def test_a_spring_leg_is_refused_with_3_and_the_advice_to_measure_by_hand(tmp_path: Path) -> None:
    ended = cli("measure", "strut", photo_file(tmp_path), "--leg", leg_file(tmp_path, SPRING))
    assert (ended.status, ended.err) == (3, "")
    assert "Strut extension, tail, ZZ-GWT: no value" in ended.out
    assert "What to do: Measure this strut by hand with a rule." in ended.out


def test_a_refusal_too_gets_its_annotated_copy(tmp_path: Path) -> None:
    photo = photo_file(tmp_path, size=(400, 300))
    copy = tmp_path / "copy.jpg"
    ended = cli("measure", "strut", photo, "--leg", leg_file(tmp_path, SPRING), "--annotated", copy)
    assert ended.status == 3
    with Image.open(copy) as picture:
        assert picture.format == "JPEG"
