"""`gearwitness search hose`: exit status, text, JSON and the annotated copy."""

import json
import re
from pathlib import Path

import pytest
from PIL import Image

from app.cli import main
from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle

LEG = """aircraft = "demo"
position = "left main"
document = "demo manual 32-40-11"
[[hose]]
name = "brake line"
diameter_mm = 15.0
cover = "rubber"
[[hose]]
name = "uplock line"
diameter_mm = 10.0
cover = "rubber"
"""
PLACES = [f"{x},{middle(x):.0f}" for x in range(60, 1350, 180)]
TAP = ["--tap", "brake line", *PLACES]
SPOT = (700.0, 0.2)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("hose")
    (place / "plain.jpg").write_bytes(hose_jpeg())
    (place / "spot.jpg").write_bytes(hose_jpeg(spot=SPOT))
    (place / "leg.toml").write_text(LEG, encoding="utf-8")
    return place


def run(folder: Path, photo: str, *options: str) -> int:
    return main(["search", "hose", str(folder / photo), "--leg", str(folder / "leg.toml"), *options])


def test_nothing_flagged_is_said_only_with_how_much_was_searched(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "plain.jpg", *TAP) == 0
    out = capsys.readouterr().out
    assert "Hose A, brake line" in out
    assert "nothing flagged in what was searched; " in out
    assert "% of the length that was shown was searched" in out
    assert "The rest is not inspected." in out
    assert "no wear" not in out.lower()
    assert "by hand, mirror and light" in out


def test_a_worn_place_is_told_with_size_and_drawn(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "spot.jpg", *TAP, "--annotated", str(folder / "out.jpg")) == 0
    out = capsys.readouterr().out
    assert "  1 place to look at; " in out
    assert "nothing flagged" not in out
    told = re.search(r"Places to look at, one by one:\n  1 on A at (\d+),(\d+) px", out)
    assert told is not None
    assert int(told[1]) == pytest.approx(SPOT[0], abs=5)
    assert int(told[2]) == pytest.approx(middle(SPOT[0]) + SPOT[1] * RADIUS_PX, abs=5)
    assert " in) along: " in out
    with Image.open(folder / "out.jpg") as copy:
        assert copy.format == "JPEG"


def test_light_alone_leaves_the_network_out(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    why = {}
    for how in ([], ["--light-alone"]):
        assert run(folder, "spot.jpg", *TAP, "--json", *how) == 0
        why[bool(how)] = json.loads(capsys.readouterr().out)["flags"][0]["why"]
    assert why == {False: "has the look of wear", True: "brighter and smoother than the hose beside it"}


def test_a_hose_that_nobody_showed_counts_as_not_inspected(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "plain.jpg") == 0
    out = capsys.readouterr().out
    assert "Not inspected: 0 % of the length counts as searched; show the hose with --tap" in out
    assert "nothing flagged" not in out


def test_json_is_the_contracts_object(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(folder, "spot.jpg", *TAP, "--json") == 0
    told = json.loads(capsys.readouterr().out)
    assert {"status", "flags", "set_aside", "hoses", "reason", "advice"} <= set(told)
    assert told["status"] == "searched"
    assert {"outline_px", "grade", "size_mm", "along_mm", "why"} <= set(told["flags"][0])
    assert {"centre_line_px", "searched_share"} <= set(told["hoses"][0])


def test_a_second_photo_from_the_same_place_is_refused_with_status_3(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(folder, "spot.jpg", *TAP, "--second", str(folder / "spot.jpg"), "--json") == 3
    told = json.loads(capsys.readouterr().out)
    assert (told["status"], told["flags"], told["cause"]) == ("refused", [], "hose-pair-no-shift")
    assert "100 mm or more along the hose" in told["advice"]


def test_a_tap_beside_every_hose_is_refused_with_what_to_do(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Image.new("RGB", (900, 700), (120, 120, 120)).save(folder / "empty.jpg")
    assert run(folder, "empty.jpg", "--tap", "brake line", "100,100", "300,100", "500,100") == 3
    out = capsys.readouterr().out
    assert "Hoses: not searched" in out
    assert "What to do: " in out


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--tap", "100;100", "1,2"], "have no hose of that name, but brake line, uplock line"),
        (["--tap", "100,100", "300,1o0"], "is no place"),
        (["--tap", "100,100", "300,100"], "write the name before X,Y, brake line, uplock line"),
        (["--tap", "brake line", "9000,10"], "outside the photo"),
        (["--tap", "brake line"], "one to 9 places along one hose, 0 came"),
        (["--tap", "brake line", *["1,1"] * 10], "one to 9 places along one hose, 10 came"),
    ],
)
def test_wrong_use_gives_status_2_and_a_sentence(
    folder: Path, capsys: pytest.CaptureFixture[str], options: list[str], words: str
) -> None:
    assert run(folder, "plain.jpg", *options) == 2
    told = capsys.readouterr()
    assert words in told.err
    assert told.out == ""


def test_a_calibration_of_another_camera_is_wrong_use(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    told = {
        "make": "Other", "model": "One", "width_px": 4000, "height_px": 3000, "f_px": 3000.0, "f_u_px": 5.0,
        "cx_px": 1999.5, "cy_px": 1499.5, "k1": 0.0, "k1_u": 0.001, "gravity_offset_deg": None,
        "date": "2026-03-14", "rms_px": 0.3,
    }  # fmt: skip
    (folder / "camera.json").write_text(json.dumps(told), encoding="utf-8")
    assert run(folder, "plain.jpg", *TAP, "--camera", str(folder / "camera.json")) == 2
    caught = capsys.readouterr()
    assert not caught.out and "4000" in caught.err


def test_a_card_that_cannot_be_read_is_wrong_use(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (folder / "card.json").write_text("{}", encoding="utf-8")
    assert run(folder, "plain.jpg", *TAP, "--card", str(folder / "card.json")) == 2
    assert not capsys.readouterr().out
