"""The demo without a browser: every photo measured, held against its truth, written down."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from tests.app.cli_files import LEG, READING, REFUSAL, SPRING, Ended, Recorder, cli, photo_file
from vision.strut import StandOff

WITHIN = {"status": "reading", "verdict": "within"}
NO_CARD = {"status": "refused", "cause": "no-card"}


def add_photo(images: Path, place: str, expects: dict[str, Any], **truth: Any) -> None:
    (images / place).parent.mkdir(parents=True, exist_ok=True)
    photo_file((images / place).parent, f"{Path(place).name}.jpg")
    content = {"leg_file": "left_main.toml", "extension_mm": 90.0, "expected": expects} | truth
    (images / f"{place}.truth.json").write_text(json.dumps(content), encoding="utf-8")


@pytest.fixture
def images(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Two photos, one to be read and one to be refused, in a folder beside the current one."""
    folder = tmp_path / "images"
    (folder / "legs").mkdir(parents=True)
    (folder / "legs" / "left_main.toml").write_text(LEG, encoding="utf-8")
    (folder / "legs" / "spring.toml").write_text(SPRING, encoding="utf-8")
    add_photo(folder, "reads_within/left_main", WITHIN)
    add_photo(folder, "refuses/no_card", NO_CARD, extension_mm=None)
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    return folder


def demo(images: Path, *options: object) -> Ended:
    return cli("demo", "--measure-only", "--images", images, *options)


def test_the_demo_prints_a_table_and_writes_it_with_annotated_images(
    images: Path, measurer: Recorder
) -> None:
    measurer.answers = [READING, REFUSAL]
    ended = demo(images)
    assert ended.status == 0
    lines = ended.out.splitlines()
    cells = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("|")]
    # READING is 90.21 ± 0.42, the truth 90.0: printed error 0.21, inside U.
    assert cells[0] == ["photo", "value ± U", "truth, mm", "error, mm", "verdict or refusal", "as expected"]
    assert cells[2:] == [
        ["reads_within/left_main", "90.2 mm ± 0.5 mm", "90.00", "+0.21", "within", "yes"],
        ["refuses/no_card", "–", "–", "–", "no-card", "yes"],
    ]
    assert "2 photos: readings 1, refusals 1. The truth lies within U in 1 of 1 readings." in ended.out
    assert "2 of 2 came out as expected." in ended.out
    out = Path("gearwitness-demo")
    assert "| reads_within/left_main | 90.2 mm" in (out / "results.md").read_text(encoding="utf-8")
    for name in ("reads_within/left_main", "refuses/no_card"):
        with Image.open(out / f"{name}.annotated.jpg") as picture:
            assert picture.format == "JPEG"


def test_results_json_holds_each_result_beside_its_truth(images: Path, measurer: Recorder) -> None:
    measurer.answers = [READING, REFUSAL]
    demo(images, "--out", "there")
    rows = json.loads(Path("there/results.json").read_text(encoding="utf-8"))
    assert [(row["list"], row["photo"], row["truth_mm"]) for row in rows] == [
        ("reads_within", "left_main", 90.0), ("refuses", "no_card", None)
    ]  # fmt: skip
    assert rows[0]["error_mm"] == pytest.approx(0.21, abs=1e-9)
    assert rows[0]["result"]["status"] == "reading" and rows[1]["result"]["cause"] == "no-card"


def test_progress_goes_to_standard_error_photo_by_photo(images: Path, measurer: Recorder) -> None:
    measurer.answers = [READING, REFUSAL]
    first, second = demo(images).err.splitlines()
    assert first.startswith("[1/2] reads_within/left_main: 90.2 mm ± 0.5 mm, within (")
    assert second.startswith("[2/2] refuses/no_card: no-card (")


def test_what_comes_out_otherwise_is_not_hidden(images: Path, measurer: Recorder) -> None:
    add_photo(images, "reads_within/left_main", WITHIN, extension_mm=89.0)
    out = demo(images).out  # both photos give READING: one with a wrong value, one that had to be refused
    assert "+1.21" in out
    assert "The truth lies within U in 0 of 2 readings. 1 of 2 came out as expected." in out


def test_a_second_run_makes_a_new_folder(images: Path, measurer: Recorder) -> None:
    for _ in range(2):
        demo(images)
    assert sorted(path.name for path in Path().iterdir()) == ["gearwitness-demo", "gearwitness-demo-2"]


def test_what_a_person_would_have_told_reaches_the_measurement(images: Path, measurer: Recorder) -> None:
    options = {"check_bar_mm": [199.5, 29.9], "stand_off_mm": 12, "stand_off_u_mm": 0.5}
    add_photo(images, "reads_within/left_main", WITHIN, options=options)
    add_photo(images, "refuses/no_card", NO_CARD, options={"check_bar_mm": [199.5], "stand_off_mm": -3})
    demo(images)
    told = [(asked["check_bar_mm"], asked["stand_off"]) for asked in measurer.asked]
    assert told == [((199.5, 29.9), StandOff(12.0, 0.5)), ((199.5, None), StandOff(-3.0, 1.0))]


def test_the_demo_is_found_in_the_current_folder(
    images: Path, measurer: Recorder, monkeypatch: pytest.MonkeyPatch
) -> None:
    images.rename("demo_images")
    # As after an install that left the clone behind: nothing lies beside the package.
    monkeypatch.setattr("app.__file__", str(Path("elsewhere/app/__init__.py").absolute()))
    assert cli("demo", "--measure-only").status == 0
    assert len(measurer.asked) == 2


def test_without_photos_the_demo_says_where_it_looked(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("app.__file__", str(tmp_path / "lib" / "app" / "__init__.py"))
    ended = cli("demo", "--measure-only")
    assert (ended.status, ended.out) == (2, "")
    assert f"no demo photos in {tmp_path}/lib/demo_images and the current folder" in ended.err
    assert "give their folder with --images" in ended.err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("truth", "words"),
    [
        ({"leg_file": "other.toml"}, "other.toml: the leg's data cannot be read"),
        ({"extension_mm": "90"}, r"no usable truth (ValueError: a finite number was expected, not '90')"),
        ({"expected": None}, "left_main.truth.json: no usable truth"),
        (
            {"options": {"standoff": 3}},
            "options knows check_bar_mm, pressure_kpa, pressure_u_kpa, stand_off_mm, stand_off_u_mm, not standoff",
        ),
        ({"options": {"check_bar_mm": [7.87]}}, "--check-bar 7.87 mm belongs to none of the cards"),
        ({"options": {"check_bar_mm": 200}}, "no usable truth (TypeError"),
        (
            {"options": {"check_bar_mm": [200, 30, 1]}},
            "check_bar_mm takes one or two lengths, not [200, 30, 1]",
        ),
        ({"options": {"stand_off_mm": 3, "stand_off_u_mm": 0}}, "a standard uncertainty above 0, not 0"),
    ],
)
def test_an_unusable_truth_ends_with_2_before_anything_is_measured(
    images: Path, measurer: Recorder, truth: dict[str, Any], words: str
) -> None:
    add_photo(images, "reads_within/left_main", WITHIN, **truth)
    ended = demo(images)
    assert (ended.status, ended.out, measurer.asked) == (2, "", [])
    assert words in ended.err
    assert list(Path().iterdir()) == []


def test_a_photo_without_truth_ends_with_2(images: Path, measurer: Recorder) -> None:
    (images / "refuses" / "no_card.truth.json").unlink()
    ended = demo(images)
    assert (ended.status, ended.out, measurer.asked) == (2, "", [])
    assert "no_card.truth.json: no usable truth (FileNotFoundError" in ended.err


def test_lists_without_a_photo_end_with_2(images: Path) -> None:
    for path in images.rglob("*.jpg"):
        path.unlink()
    ended = demo(images)
    assert (ended.status, ended.out) == (2, "")
    assert "holds no photo (*.jpg) in its lists reads_within, reads_outside, refuses" in ended.err


def test_nothing_is_written_among_the_demos_own_photos(images: Path, measurer: Recorder) -> None:
    before = sorted(images.rglob("*"))
    for out in (images, images / "reads_within", images / "new"):
        ended = demo(images, "--out", out)
        assert (ended.status, ended.out) == (2, "")
        assert "lies among the demo's own photos" in ended.err
    assert sorted(images.rglob("*")) == before


def test_the_demo_measures_with_the_real_measurement(images: Path, strut_photo: Path) -> None:
    known = {"check_bar_mm": [200, 30], "stand_off_mm": 0, "stand_off_u_mm": 0.5}
    add_photo(images, "reads_within/left_main", WITHIN, extension_mm=88.9, options=known)
    shutil.copy(strut_photo, images / "reads_within" / "left_main.jpg")
    spring = {"status": "refused", "cause": "form-not-measured"}
    add_photo(images, "refuses/no_card", spring, extension_mm=None, leg_file="spring.toml")
    ended = demo(images)
    assert ended.status == 0
    assert "The truth lies within U in 1 of 1 readings. 2 of 2 came out as expected." in ended.out
