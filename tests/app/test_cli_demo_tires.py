"""The demo without a browser, its photos of tires: several results a photo, each held against its truth."""

import json
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.app.cli_files import LEG, READING, Recorder, cli, photo_file
from vision import notes
from vision.results import Limits, Reading, Refusal, Result, Verdict
from vision.tire import TireMeasurement

TIRE_LEG = f"""{LEG}
[tire]
outside_diameter_mm = 445.0
flange_diameter_mm = 190.5
section_width_mm = 160.0
line = "pressure line"
line_limit_deg = 3.0
creep_limit_mm = 5.0
"""
TRUE = {
    "line_angle_deg": 0.5, "creep_angle_deg": 1.2, "creep_arc_mm": 2.0, "outside_diameter_mm": 442.0,
    "loaded_radius_mm": 183.0, "deflection": 0.3,
}  # fmt: skip
READ = {"status": "reading"}
EXPECTED: dict[str, dict[str, str]] = {
    "pressure_line_angle": READ | {"verdict": "within"},
    "creep_angle": {"status": "refused", "cause": "slip-marks-several"},
    "creep_arc": {"status": "refused", "cause": "slip-marks-several"},
    "outside_diameter": READ,
    "loaded_radius": READ,
    "deflection": READ,
}
LIMITS = Limits(-3.0, 3.0, "demo manual")
FOUND = TireMeasurement(
    (
        Reading("pressure_line_angle", 0.62, "deg", 0.5, limits=LIMITS, verdict=Verdict.WITHIN),
        Refusal("creep_angle", notes.MARKS_SEVERAL),
        Refusal("creep_arc", notes.MARKS_SEVERAL),
        Reading("outside_diameter", 443.1, "mm", 6.0),
        Reading("loaded_radius", 184.0, "mm", 4.0),
        Reading("deflection", 0.36, "1", 0.04),
    ),
    "ground contact",
)


def add_tire(images: Path, place: str, **truth: Any) -> None:
    (images / place).parent.mkdir(parents=True, exist_ok=True)
    photo_file((images / place).parent, f"{Path(place).name}.jpg")
    told = {"tier": "traced tire", "leg_file": "left_main.toml", "truth": TRUE, "expected": EXPECTED} | truth
    (images / f"{place}.truth.json").write_text(json.dumps(told), encoding="utf-8")


@pytest.fixture
def images(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """One photo of a strut and one of a tire; the tire gives `FOUND`."""
    folder = tmp_path / "images"
    (folder / "legs").mkdir(parents=True)
    (folder / "legs" / "left_main.toml").write_text(TIRE_LEG, encoding="utf-8")
    add_tire(folder, "refuses/tire_two_marks")
    photo_file(folder / "refuses", "a_strut.jpg")
    strut = {"leg_file": "left_main.toml", "extension_mm": 90.0, "expected": {"verdict": "within"}}
    (folder / "refuses" / "a_strut.truth.json").write_text(json.dumps(strut), encoding="utf-8")
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    monkeypatch.setattr("vision.tire.measure_tire", lambda photo, leg, **known: FOUND)
    return folder


def lines_of(text: str) -> list[list[str]]:
    return [
        [c.strip() for c in line.strip("|").split("|")] for line in text.splitlines() if "refuses/t" in line
    ]


def test_every_result_of_a_tire_has_a_line_with_its_truth(images: Path, measurer: Recorder) -> None:
    ended = cli("demo", "--measure-only", "--images", images)
    assert ended.status == 0
    lines = lines_of(ended.out)
    assert [line[1:] for line in lines[:4]] == [
        ["pressure line angle", "0.6° ± 0.5°", "0.50", "+0.12", "within", "yes"],
        ["creep angle", "–", "1.20", "–", "slip-marks-several", "yes"],
        ["creep arc", "–", "2.00", "–", "slip-marks-several", "yes"],
        ["outside diameter", "443 mm ± 6 mm", "442.00", "+1.10", "–", "yes"],
    ]
    # 0.36 ± 0.04 does not hold 0.3.
    assert "1 photos of tires, 6 results: readings 4, refusals 2." in ended.out
    assert "The truth lies within U in 3 of 4 readings. 1 of 1 photos came out as expected." in ended.out
    assert "1 photos: readings 1, refusals 0." in ended.out
    with Image.open("gearwitness-demo/refuses/tire_two_marks.annotated.jpg") as picture:
        assert picture.format == "JPEG"


def test_results_json_has_one_row_for_each_result(images: Path, measurer: Recorder) -> None:
    cli("demo", "--measure-only", "--images", images, "--out", "there")
    strut, *tire = json.loads(Path("there/results.json").read_text(encoding="utf-8"))
    assert strut["result"]["value"] == READING.value
    assert [row["result"]["name"] for row in tire] == list(EXPECTED)
    assert (tire[0]["truth"], tire[1]["truth"], tire[1]["error"]) == (0.5, 1.2, None)
    assert tire[0]["error"] == pytest.approx(0.12, abs=1e-9)


def test_the_progress_tells_verdicts_and_causes(images: Path, measurer: Recorder) -> None:
    _, second = cli("demo", "--measure-only", "--images", images).err.splitlines()
    assert second.startswith("[2/2] refuses/tire_two_marks: pressure line angle within, slip-marks-several (")


@pytest.mark.parametrize(
    "results",
    [
        {"pressure_line_angle": READ | {"verdict": "outside"}},
        {"creep_arc": {"status": "refused", "cause": "slip-mark-not-found"}},
        {"loaded_radius": {"status": "refused"}},
    ],
)
def test_one_result_that_came_out_otherwise_is_told(
    images: Path, measurer: Recorder, results: dict[str, Any]
) -> None:
    add_tire(images, "refuses/tire_two_marks", expected=EXPECTED | results)
    ended = cli("demo", "--measure-only", "--images", images)
    assert [line[1] for line in lines_of(ended.out) if line[-1] == "no"] == [
        name.replace("_", " ") for name in results
    ]
    assert "0 of 1 photos came out as expected." in ended.out


def test_a_folder_with_tires_alone_is_a_demo_too(images: Path) -> None:
    (images / "refuses" / "a_strut.jpg").unlink()
    ended = cli("demo", "--measure-only", "--images", images)
    assert ended.status == 0
    assert "1 photos of tires" in ended.out and "1 photos:" not in ended.out


@pytest.mark.parametrize(
    ("truth", "words"),
    [
        ({"truth": TRUE | {"creep_arc_mm": "2"}}, "a finite number was expected, not '2'"),
        ({"truth": {}}, "no usable truth (KeyError: 'line_angle_deg')"),
        ({"expected": {"creep_arc": READ}}, "expected lacks pressure_line_angle, creep_angle"),
        ({"expected": {"creep_arc": None}}, "no usable truth (TypeError"),
        ({"leg_file": "other.toml"}, "other.toml: the leg's data cannot be read"),
    ],
)
def test_an_unusable_truth_of_a_tire_ends_with_2_before_anything_is_measured(
    images: Path, measurer: Recorder, truth: dict[str, Any], words: str
) -> None:
    add_tire(images, "refuses/tire_two_marks", **truth)
    ended = cli("demo", "--measure-only", "--images", images)
    assert (ended.status, ended.out, measurer.asked) == (2, "", [])
    assert words in ended.err


def test_the_results_are_those_of_the_measurement(images: Path, measurer: Recorder) -> None:
    one: Result = FOUND.results[0]
    cli("demo", "--measure-only", "--images", images)
    rows = json.loads(Path("gearwitness-demo/results.json").read_text(encoding="utf-8"))
    assert rows[1]["result"]["value"] == one.value if isinstance(one, Reading) else False
