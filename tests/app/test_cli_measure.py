"""What the options hand to the measurement, and how its answer is printed."""

import json
from pathlib import Path
from typing import Any

import pytest

from tests.app.cli_files import READING, REFUSAL, Ended, Recorder, cli, leg_file, photo_file
from vision.card import supplied_card, supplied_cards, to_json
from vision.strut import StandOff

CAMERA = {
    "make": "", "model": "", "width_px": 64, "height_px": 48, "f_px": 60.0, "f_u_px": 0.5, "cx_px": 31.0,
    "cy_px": 23.0, "k1": 0.0, "k1_u": 0.001, "gravity_offset_deg": None, "date": "2026-03-14", "rms_px": 0.2,
}  # fmt: skip


def strut(folder: Path, *options: object) -> Ended:
    return cli("measure", "strut", photo_file(folder), "--leg", leg_file(folder), *options)


def asked(measurer: Recorder) -> dict[str, Any]:
    (only,) = measurer.asked
    return only


def test_without_options_nothing_is_claimed_to_be_known(tmp_path: Path, measurer: Recorder) -> None:
    assert strut(tmp_path).status == 0
    known = asked(measurer)
    assert known.pop("photo").facts.width_px == 64
    assert known.pop("leg").position == "left main"
    assert known.pop("cards") == supplied_cards()
    assert set(known.values()) == {None}


@pytest.mark.parametrize(
    ("options", "told"),
    [
        ("--check-bar 199.6", {"check_bar_mm": (199.6, None), "check_bar_u_mm": None}),
        (
            "--check-bar 199.6 30.1 --check-bar-u 0.2",
            {"check_bar_mm": (199.6, 30.1), "check_bar_u_mm": 0.2},
        ),
        ("--check-bar 139.5 99.8", {"check_bar_mm": (139.5, 99.8)}),
        ("--stand-off 12.5", {"stand_off": StandOff(12.5, 1.0)}),
        ("--stand-off -3 --stand-off-u 0.5", {"stand_off": StandOff(-3.0, 0.5)}),
        ("--pressure-kpa 4200", {"pressure_kpa": 4200.0, "pressure_u_kpa": None}),
        ("--pressure-kpa 4.2e3 --pressure-u 40", {"pressure_kpa": 4200.0, "pressure_u_kpa": 40.0}),
    ],
)
def test_an_option_reaches_the_measurement(
    tmp_path: Path, measurer: Recorder, options: str, told: dict[str, Any]
) -> None:
    assert strut(tmp_path, *options.split()).status == 0
    assert {key: asked(measurer)[key] for key in told} == told


def test_a_card_given_replaces_the_supplied_ones(tmp_path: Path, measurer: Recorder) -> None:
    card = tmp_path / "own.json"
    card.write_text(json.dumps(to_json(supplied_card("strip")) | {"name": "own"}), encoding="utf-8")
    assert strut(tmp_path, "--card", card).status == 0
    assert [card.name for card in asked(measurer)["cards"]] == ["own"]


def test_check_bars_are_compared_with_the_card_given(tmp_path: Path, measurer: Recorder) -> None:
    card = tmp_path / "own.json"
    card.write_text(json.dumps(to_json(supplied_card("strip"))), encoding="utf-8")
    ended = strut(tmp_path, "--card", card, "--check-bar", "139.5", "99.8")  # the plate's
    assert ended.status == 2
    assert "belongs to none of the cards (strip 200 and 30 mm)" in ended.err


def test_a_calibration_is_fitted_to_the_photo(tmp_path: Path, measurer: Recorder) -> None:
    camera = tmp_path / "CAMERA.json"
    camera.write_text(json.dumps(CAMERA), encoding="utf-8")
    assert strut(tmp_path, "--camera", camera).status == 0
    assert asked(measurer)["camera"].f_px == 60.0


def test_a_calibration_of_another_size_is_wrong_use(tmp_path: Path, measurer: Recorder) -> None:
    camera = tmp_path / "CAMERA.json"
    camera.write_text(json.dumps(CAMERA | {"width_px": 66}), encoding="utf-8")
    ended = strut(tmp_path, "--camera", camera)
    assert (ended.status, ended.out, measurer.asked) == (2, "", [])
    assert "the calibration is of pictures of 66 × 48 px" in ended.err


def test_a_reading_is_printed_in_mm_and_inch_with_verdict_notes_and_budget(
    tmp_path: Path, measurer: Recorder
) -> None:
    # U rounded up, the value to the same place (JCGM 100:2008 7.2.6): 90.21 ± 0.42 mm is 3.5516 ± 0.0165 in.
    assert strut(tmp_path).out.splitlines() == [
        "Strut extension, left main, ZZ-GWT: 90.2 mm ± 0.5 mm (3.552 in ± 0.017 in), with 95 % probability",
        "Within the limits: 82.55 mm to 95.25 mm (3.250 to 3.750 in).",
        "Document: demo manual",
        "Notes:",
        "  Extension only: a right extension does not prove the oil level.",
        "Where the doubt comes from (standard uncertainties):",
        "  card print  0.200 mm",
        "  band edge   0.050 mm",
    ]


def test_a_refusal_is_printed_with_its_reason_and_one_thing_to_do(tmp_path: Path, measurer: Recorder) -> None:
    measurer.answers = [REFUSAL]
    ended = strut(tmp_path)
    assert (ended.status, ended.err) == (3, "")
    assert ended.out.splitlines() == [
        "Strut extension, left main, ZZ-GWT: no value",
        "No scale card was found.",
        "What to do: Hang the card beside the piston, whole and facing the camera, and photograph again.",
    ]


def test_json_is_one_line_that_any_terminal_can_carry(tmp_path: Path, measurer: Recorder) -> None:
    ended = strut(tmp_path, "--json")
    assert ended.out.isascii() and ended.out.count("\n") == 1
    assert json.loads(ended.out)["value"] == READING.value


def test_a_copy_that_cannot_be_written_leaves_nothing_on_standard_output(
    tmp_path: Path, measurer: Recorder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("app.commands.files.os.fdopen", full)
    ended = strut(tmp_path, "--annotated", tmp_path / "copy.jpg")
    assert (ended.status, ended.out) == (2, "")
    assert "No space left on device: check the folder and the space left" in ended.err
    assert not [path for path in tmp_path.iterdir() if "copy" in path.name]
