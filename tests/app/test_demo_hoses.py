"""The demo's photos of hoses are searched where their truth files tap, and each is held against its truth."""

import json
from pathlib import Path
from typing import Any

import pytest

from app.cli import main
from app.commands.demo_hoses import HosePhoto, HoseRow, read_hoses
from app.errors import UsageError
from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle
from vision.photo import read_photo

SPOT = (700.0, 0.2)
TAPS = [[float(x), float(middle(x))] for x in range(60, 1350, 300)]
LEG = """aircraft = "demo"
position = "left main"
document = "demo"
[[hose]]
name = "line"
diameter_mm = 15.0
cover = "rubber"
"""


def folder(tmp_path: Path, **truth: Any) -> Path:
    """A demo of one photo of a hose with a worn place."""
    for part in ("hoses", "legs", "reads_within"):
        (tmp_path / part).mkdir()
    (tmp_path / "legs" / "hoses.toml").write_text(LEG, encoding="utf-8")
    (tmp_path / "hoses" / "worn.jpg").write_bytes(hose_jpeg(spot=SPOT))
    y = float(middle(SPOT[0])) + SPOT[1] * RADIUS_PX
    box = [[SPOT[0] - 20, y - 20], [SPOT[0] + 20, y - 20], [SPOT[0] + 20, y + 20], [SPOT[0] - 20, y + 20]]
    told = {
        "leg_file": "hoses.toml", "expected": {"status": "searched"},
        "hoses": [{"name": "line", "taps_px": TAPS}], "worn": [{"outline_px": box}],
    }  # fmt: skip
    (tmp_path / "hoses" / "worn.truth.json").write_text(json.dumps(told | truth), encoding="utf-8")
    return tmp_path


def row(images: Path) -> HoseRow:
    (photo,) = read_hoses(images)
    return HoseRow(photo, photo.request.search(read_photo(photo.path.read_bytes())))


def test_a_worn_place_is_counted_as_flagged_and_the_rest_as_not(tmp_path: Path) -> None:
    found = row(folder(tmp_path))
    assert (found.hits, found.others) == (1, 0) and found.as_expected
    away = [[100.0, 20.0], [140.0, 20.0], [140.0, 60.0]]
    (tmp_path / "other").mkdir()
    found = row(folder(tmp_path / "other", worn=[{"outline_px": away}]))
    assert (found.hits, found.others) == (0, 1)


@pytest.mark.parametrize(
    "expected", [{"status": "refused", "cause": "hose-too-small"}, {"searched_at_most": 0.05}]
)
def test_what_was_expected_otherwise_is_told(tmp_path: Path, expected: dict[str, Any]) -> None:
    assert not row(folder(tmp_path, expected=expected)).as_expected


def test_a_truth_file_without_taps_names_what_it_needs(tmp_path: Path) -> None:
    with pytest.raises(UsageError, match="taps_px"):
        read_hoses(folder(tmp_path, hoses=[{"name": "line"}]))


def test_a_demo_without_hoses_has_none(tmp_path: Path) -> None:
    assert read_hoses(tmp_path) == []


DEMO = Path(__file__).parents[2] / "demo_images"


@pytest.mark.parametrize("photo", read_hoses(DEMO), ids=lambda photo: photo.name)
def test_the_demos_own_photos_come_out_as_their_truth_files_expect(photo: HosePhoto) -> None:
    found = HoseRow(photo, photo.request.search(read_photo(photo.path.read_bytes())))
    assert found.as_expected
    if photo.name == "clean_with_tape_and_oil":
        assert found.others == 0, "tape, label, clip and drop are no wear"
        assert found.told_wet == 1, "oil along the hose is for a person, as wet"
    if photo.name.endswith("_worn"):
        assert found.hits >= 1, "the plainest worn place is flagged"


def test_the_demo_has_worn_clean_and_refused_hoses() -> None:
    assert {photo.name for photo in read_hoses(DEMO)} >= {
        "clean_with_tape_and_oil", "rubber_worn", "shaken", "textile_and_braid_worn", "too_far_away"
    }  # fmt: skip


def test_measure_only_tells_of_hoses_and_draws_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "images").mkdir()
    images = folder(tmp_path / "images")
    for name in ("nose_hangar.jpg", "nose_hangar.truth.json"):
        (images / "reads_within" / name).write_bytes((DEMO / "reads_within" / name).read_bytes())
    (images / "legs" / "nose.toml").write_bytes((DEMO / "legs" / "nose.toml").read_bytes())
    out = tmp_path / "out"
    assert main(["demo", "--measure-only", "--images", str(images), "--out", str(out)]) == 0
    told = capsys.readouterr().out
    assert "1 photos of hoses: searched 1, refused 0. 1 of 1 worn places" in told
    assert (out / "hoses" / "worn.annotated.jpg").stat().st_size
    assert [
        one["flagged"] for one in json.loads((out / "results.json").read_text()) if one["list"] == "hoses"
    ] == [1]
