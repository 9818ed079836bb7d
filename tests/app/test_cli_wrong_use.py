"""Wrong use ends with 2 and a sentence on standard error, before anything is measured or printed."""

import json
import re
from pathlib import Path

import pytest

from tests.app.cli_files import Recorder, cli, leg_file, photo_file
from vision.card import supplied_card, to_json


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, measurer: Recorder) -> Path:
    """A folder with a photo and a leg's data, in which each test runs."""
    monkeypatch.chdir(tmp_path)
    leg_file(tmp_path)
    photo_file(tmp_path)
    return tmp_path


def refused(measurer: Recorder, words: str, *arguments: object) -> None:
    ended = cli(*arguments)
    assert (ended.status, ended.out) == (2, "")
    assert re.search(words, ended.err), ended.err
    assert "Traceback" not in ended.err
    assert measurer.asked == []


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ("", "required: COMMAND"),
        ("weigh", r"invalid choice: 'weigh'"),
        ("measure", "required: WHAT"),
        ("measure wing photo.jpg --leg LEG.toml", r"invalid choice: 'wing'"),
        ("measure tire photo.jpg --leg LEG.toml", r"measuring the tire needs \[tire\]"),
        ("inspect hose photo.jpg", r"invalid choice: 'inspect'"),
        ("measure strut", "required: PHOTO, --leg"),
        ("measure strut photo.jpg", "required: --leg"),
        ("measure strut photo.jpg --leg", "--leg: expected one argument"),
        ("demo --measure", "unrecognized arguments: --measure"),
        ("demo --out x", "--out says nothing without --measure-only: leave one of them out"),
        ("demo --measure-only --port 8502", "--port says nothing with --measure-only"),
        ("demo --measure-only --home x", "--home says nothing with --measure-only"),
        ("demo --images nowhere", "no demo photos in nowhere"),
        ("demo --port 70000", "'70000' is no port: choose a whole number from 1 to 65535"),
        ("serve --port 0", "'0' is no port"),
        ("serve --port 85o1", "'85o1' is no port"),
        ("serve now", "unrecognized arguments: now"),
        ("cards", "required: --out"),
    ],
)
def test_an_incomplete_command_says_what_is_missing(measurer: Recorder, arguments: str, words: str) -> None:
    refused(measurer, words, *arguments.split())


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ("--colour red", "unrecognized arguments: --colour red"),
        ("--jso", "unrecognized arguments: --jso"),  # no guessing at what was meant
        ("--check-bar", "--check-bar: expected at least one argument"),
        ("--check-bar 200 30 1", r"one or two lengths, 3 came"),
        ("--check-bar nan", r"--check-bar: 'nan' is not a number: write mm"),
        ("--check-bar inf", "'inf' is not a number"),
        ("--check-bar 1e999", "'1e999' is not a number"),
        ("--check-bar 199,8", "'199,8' is not a number: write mm with a decimal point"),
        ("--check-bar 2_00", "'2_00' is not a number"),
        ("--check-bar 200mm", "'200mm' is not a number: write mm with a decimal point and no unit"),
        ("--check-bar 200 other.jpg", "'other.jpg' is not a number.* PHOTO stands before the options"),
        ("--check-bar 0", "0 mm cannot be: 1 to 2000 mm was expected"),
        ("--check-bar -200", "cannot be|expected at least one argument"),
        (
            "--check-bar 7.87",
            r"--check-bar 7\.87 mm belongs to none of the cards \(strip 200 and 30 mm; plate",
        ),
        ("--check-bar 30 200", "--check-bar 30 and 200 mm belongs to none.*along first, then across"),
        ("--check-bar 200 --check-bar-u 0", "0 mm cannot be: 0.01 to 50 mm"),
        ("--check-bar-u 0.2", "--check-bar-u is the doubt of --check-bar, which is missing"),
        ("--stand-off ten", "'ten' is not a number"),
        ("--stand-off 1000", "1000 mm cannot be: -500 to 500 mm"),
        ("--stand-off 5 --stand-off-u -1", "cannot be|expected one argument"),
        ("--stand-off-u 1", "--stand-off-u is the doubt of --stand-off, which is missing"),
        ("--pressure-kpa 0", "0 kPa cannot be"),
        ("--pressure-kpa 4000 --pressure-u inf", "'inf' is not a number: write kPa"),
        ("--pressure-u 50", "--pressure-u is the doubt of --pressure-kpa, which is missing"),
        ("--camera none.json", "none.json: the camera file cannot be read"),
        ("--card none.json", "none.json: the card's definition cannot be read"),
        ("--card LEG.toml", "LEG.toml: this is no JSON"),
        ("--leg none.toml", "none.toml: the leg's data cannot be read"),
        ("--leg .", "the leg's data cannot be read"),
    ],
)
def test_a_wrong_option_says_what_was_expected(measurer: Recorder, options: str, words: str) -> None:
    refused(measurer, words, "measure", "strut", "photo.jpg", "--leg", "LEG.toml", *options.split())


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("photo.jpg", r"photo\.jpg is the file photo\.jpg itself, which is never altered"),
        ("./sub/../photo.jpg", "itself, which is never altered"),
        ("hard.jpg", r"hard\.jpg is the file photo\.jpg itself"),
        ("soft.jpg", r"soft\.jpg is the file photo\.jpg itself"),
        ("none/out.jpg", "the folder none does not exist"),
        ("out.png", r"out\.png: the annotated copy is a JPEG: give a name that ends in \.jpg"),
        ("LEG.toml", r"give a name that ends in \.jpg"),
        ("sub.jpg", r"sub\.jpg is a folder"),
    ],
)
def test_an_annotated_copy_never_takes_a_wrong_place(
    measurer: Recorder, folder: Path, name: str, words: str
) -> None:
    for sub in ("sub", "sub.jpg"):
        (folder / sub).mkdir()
    (folder / "hard.jpg").hardlink_to(folder / "photo.jpg")
    (folder / "soft.jpg").symlink_to(folder / "photo.jpg")
    before = (folder / "photo.jpg").read_bytes()
    refused(measurer, words, "measure", "strut", "photo.jpg", "--leg", "LEG.toml", "--annotated", name)
    assert (folder / "photo.jpg").read_bytes() == before


def test_two_cards_that_share_marker_ids_are_told_apart_by_nobody(measurer: Recorder, folder: Path) -> None:
    for name in ("one.json", "two.json"):
        (folder / name).write_text(json.dumps(to_json(supplied_card("strip"))), encoding="utf-8")
    ids = ", ".join(str(number) for number in sorted(supplied_card("strip").marker_ids))
    refused(
        measurer, f"one.json and two.json share the marker ids {ids}: give one", "measure", "strut",
        "photo.jpg", "--leg", "LEG.toml", "--card", "one.json", "--card", "two.json",
    )  # fmt: skip


def test_a_fault_in_the_program_is_a_sentence_and_no_value(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object, **__: object) -> None:
        msg = "the matrix is singular"
        raise ArithmeticError(msg)

    monkeypatch.setattr("vision.strut.measure_strut", broken)
    ended = cli("measure", "strut", "photo.jpg", "--leg", "LEG.toml")
    assert (ended.status, ended.out) == (2, "")
    assert re.search(
        r"a fault in the program \(ArithmeticError: the matrix is singular; .* line \d+", ended.err
    )
    assert "Traceback" not in ended.err


def test_an_interrupt_while_measuring_ends_with_130_and_a_word(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("vision.strut.measure_strut", interrupted)
    ended = cli("measure", "strut", "photo.jpg", "--leg", "LEG.toml")
    assert (ended.status, ended.out, ended.err) == (130, "", "gearwitness: stopped before the end\n")
