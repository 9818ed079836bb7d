"""`gearwitness measure tire`: exit status, text, JSON and the annotated copy."""

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from app.cli import main
from tests.vision.tire.tire_scene import HELD, LEG, SCENE, photo_of

HEAD = 'aircraft = "demo"\nposition = "left main"\ndocument = "demo manual 32-45-11"\n'


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tire")
    exif = Image.Exif()
    diagonal = float(np.hypot(SCENE.width_px, SCENE.height_px))
    exif.get_ifd(0x8769)[0xA405] = round(SCENE.focal_px * 43.2666 / diagonal)
    Image.fromarray(photo_of(SCENE).pixels).save(place / "tire.jpg", quality=95, exif=exif)
    (place / "leg.toml").write_text(HEAD + LEG, encoding="utf-8")
    return place


def run(folder: Path, *options: str) -> int:
    return main(["measure", "tire", str(folder / "tire.jpg"), "--leg", str(folder / "leg.toml"), *options])


def test_readings_give_status_0_and_a_picture(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "--annotated", str(folder / "out.jpg")) == 0
    out = capsys.readouterr().out
    assert "Line parallel to the ground: yes (at most 3° either way)" in out
    assert "Level from: ground contact" in out
    assert "demo manual 32-45-11" in out
    assert "does not replace the gauge" in out
    with Image.open(folder / "out.jpg") as copy:
        assert copy.format == "JPEG"


def test_json_is_the_contracts_object(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert set(told) == {"results", "level_from"}
    assert [result["name"] for result in told["results"]] == [
        "pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius", "deflection",
    ]  # fmt: skip
    assert [result["unit"] for result in told["results"]] == ["deg", "deg", "mm", "mm", "mm", "1"]


def test_a_refusal_gives_status_3(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "other.toml").write_text(HEAD + LEG.replace("445.0", "560.0"), encoding="utf-8")
    status = main(["measure", "tire", str(folder / "tire.jpg"), "--leg", str(folder / "other.toml")])
    assert status == 3
    assert "What to do:" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--rim", "1,2", "3,4"], "five points or more"),
        (["--rim", "1,2", "3,4", "--stand-off", "-5"], "three points beside a card or more"),
        (["--stand-off-u", "2"], "--stand-off-u is the doubt of --stand-off"),
        (["--check-bar", "5.5"], "belongs to none of the cards"),
        (["--card", "nowhere.json"], "nowhere.json"),
        (["--ground", "9000,10", "20,30"], "outside the photo"),
        (["--ground", "10,10", "12,11"], "less than 8 px from each other"),
        (["--plumb", "10;10", "12,200"], "is no point"),
        (["--horizon", "10,10", "12,11"], "less than 8 px"),
    ],
)
def test_wrong_use_gives_status_2_and_a_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], words: str
) -> None:
    assert run(folder, *options) == 2
    told = capsys.readouterr()
    assert words in told.err
    assert told.out == ""


def test_a_leg_without_tire_data_is_wrong_data(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "bare.toml").write_text(HEAD, encoding="utf-8")
    assert main(["measure", "tire", str(folder / "tire.jpg"), "--leg", str(folder / "bare.toml")]) == 2
    assert "outside_diameter_mm" in capsys.readouterr().err


@pytest.fixture(scope="module")
def held(folder: Path) -> Path:
    """A photo with a card held against the wheel, and the card's definition beside it."""
    exif = Image.Exif()
    diagonal = float(np.hypot(HELD.width_px, HELD.height_px))
    exif.get_ifd(0x8769)[0xA405] = round(HELD.focal_px * 43.2666 / diagonal)
    Image.fromarray(photo_of(HELD).pixels).save(folder / "held.jpg", quality=95, exif=exif)
    assert main(["cards", "--out", str(folder / "cards")]) == 0
    return folder


@pytest.mark.parametrize("asked", [["--stand-off", "-12"], ["--card", "plate.json"], ["--check-bar", "140"]])
def test_a_card_is_looked_for_where_anything_is_told_of_one(
    held: Path, capsys: pytest.CaptureFixture[str], asked: list[str]
) -> None:
    told = [str(held / "cards" / one) if one.endswith(".json") else one for one in asked]
    leg = str(held / "leg.toml")
    assert main(["measure", "tire", str(held / "held.jpg"), "--leg", leg, "--json", *told]) == 0
    evidence = json.loads(capsys.readouterr().out)["results"][0]["evidence"]
    assert evidence["turn_told_by"] == "tire outline and scale card"
    assert evidence["card_tells_flange_mm"] == pytest.approx(190.5, abs=4.0)


def test_a_stand_off_comes_with_the_doubt_that_a_hand_leaves_or_with_ones_own(
    held: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    doubts = []
    for more in ([], ["--stand-off-u", "1"]):
        leg = str(held / "leg.toml")
        told = ["--stand-off", "-12", "--check-bar", "140", "100", *more]
        assert main(["measure", "tire", str(held / "held.jpg"), "--leg", leg, "--json", *told]) == 0
        results = json.loads(capsys.readouterr().out)["results"]
        loaded = next(one for one in results if one["name"] == "loaded_radius")
        doubts.append(loaded["expanded_uncertainty"])
        assert abs(loaded["value"] - HELD.loaded_radius_mm) < loaded["expanded_uncertainty"]
    assert doubts[1] < doubts[0]
