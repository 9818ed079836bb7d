"""`gearwitness search surface`: exit status, text, JSON and the annotated copy."""

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

from app.cli import main
from tests.vision.surface.drawn import jpeg, light_of, spot

REGION = ["--region", "60,60", "900,700"]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("surface")
    (place / "plain.jpg").write_bytes(jpeg(light_of()))
    (place / "spot.jpg").write_bytes(jpeg(spot(light_of(), (420, 330), 22)))
    return place


def run(folder: Path, photo: str, *options: str) -> int:
    return main(["search", "surface", str(folder / photo), *options])


def test_nothing_flagged_is_said_only_with_how_much_was_searched(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "plain.jpg", *REGION) == 0
    out = capsys.readouterr().out
    assert "nothing flagged in what was searched; " in out
    assert "% of the region was searched. The rest is not inspected." in out
    assert "no wear" not in out.lower()
    assert "Pits and flaking of chrome are looked for by hand and eye" in out


def test_a_rub_is_told_with_its_place_and_that_its_size_is_not_known_and_drawn(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "spot.jpg", *REGION, "--annotated", str(folder / "out.jpg")) == 0
    out = capsys.readouterr().out
    assert "  1 place to look at; " in out
    assert "Places to look at, one by one:\n  1 at 4" in out
    assert " px, size not known: brighter and smoother" in out
    assert " mm" not in out.split("Notes:")[0]
    with Image.open(folder / "out.jpg") as copy:
        assert copy.format == "JPEG"


def test_json_is_the_contracts_object(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "spot.jpg", *REGION, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert told["status"] == "searched"
    assert len(told["flags"]) == 1 and told["hoses"] == []


def test_a_region_beyond_the_photo_is_refused_with_status_3(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "plain.jpg", "--region", "60,60", "3000,700") == 3
    out = capsys.readouterr().out
    assert "Surface: not searched\n  The region reaches beyond the photo. (the photo is 1000 × 760 px)" in out
    assert "What to do: Show it again by corners that lie within the photo" in out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--region", "60,60", "9o0,700"], "'9o0,700' is no place: write it in px as X,Y"),
        (["--region", "60,60"], "two opposite corners, or three to 40 corners in their order round; 1 came"),
        (["--region", "60,60", "700,700", "700,60", "60,700"], "two sides of the region cross"),
    ],
)
def test_wrong_use_gives_status_2_and_a_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], words: str
) -> None:
    assert run(folder, "plain.jpg", *options) == 2
    told = capsys.readouterr()
    assert words in told.err
    assert told.out == ""


def test_the_photo_itself_is_never_written_over(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "plain.jpg", *REGION, "--annotated", str(folder / "plain.jpg")) == 2
    assert "which is never altered" in capsys.readouterr().err


def test_a_second_photo_from_the_same_place_is_refused_with_status_3(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    photo = folder / "chips.jpg"
    photo.write_bytes(jpeg(chipped()))
    assert run(folder, "chips.jpg", *REGION, "--second", str(photo)) == 3
    out = capsys.readouterr().out
    assert "taken from nearly the same place" in out and "Move the phone sideways" in out


def test_a_photo_with_another_legs_tag_is_refused_where_the_leg_is_told(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    light = light_of()
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    light[100:340, 100:340] = 0.8
    marker = cv2.aruco.generateImageMarker(dictionary, 412, 160)
    light[140:300, 140:300] = np.where(marker > 127, 0.8, 0.03)
    (folder / "tag.jpg").write_bytes(jpeg(light))
    told = 'aircraft = "demo"\nposition = "nose"\ndocument = "demo manual"\nleg_tag = 413\n'
    (folder / "leg.toml").write_text(told, encoding="utf-8")
    assert run(folder, "tag.jpg", *REGION, "--leg", str(folder / "leg.toml")) == 3
    assert "412" in capsys.readouterr().out


def chipped() -> np.ndarray:
    """Paint with chips that can be found again."""
    light, rng = light_of(), np.random.default_rng(4)
    for _ in range(120):
        x, y = (int(v) for v in rng.uniform(70, 690, 2))
        cv2.circle(light, (x, y), int(rng.integers(1, 4)), float(rng.uniform(0.1, 0.25)), -1)
    return light
