"""The command line as a process of its own: failing streams, Ctrl-C, and what the shell is told."""

import os
import re
import signal
import subprocess
from pathlib import Path

import pytest

from app.cli import main
from tests.app.cli_files import SPRING, leg_file, photo_file, process

PIPES = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE}


def test_version_is_that_of_the_project(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == "gearwitness 0.1.0\n"


def test_help_names_the_commands_and_only_those_that_there_are(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    text = capsys.readouterr().out
    named = re.findall(r"^    ([a-z]+)(?:\s|$)", text, re.MULTILINE)
    assert sorted(named) == [
        "archive", "calibrate", "cards", "demo", "enter", "measure", "programme", "search", "serve", "study",
    ]  # fmt: skip


@pytest.mark.parametrize(
    "command", ["measure", "measure strut", "search hose", "search surface", "cards", "demo", "serve"]
)
def test_every_command_has_its_help(command: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*command.split(), "--help"]) == 0
    assert capsys.readouterr().out.startswith(f"usage: gearwitness {command}")


def test_help_states_the_doubts_that_are_assumed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["measure", "strut", "--help"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "(default 1.0 mm)" in text and "(default 0.15 mm)" in text


def test_letters_that_the_terminal_lacks_do_no_harm(tmp_path: Path) -> None:
    text = SPRING.replace("tail", "arrière")
    arguments = ["measure", "strut", photo_file(tmp_path), "--leg", leg_file(tmp_path, text)]
    run = process(arguments, tmp_path, **PIPES, env={"PYTHONIOENCODING": "ascii"})
    out, err = run.communicate(timeout=60)
    assert (run.returncode, err) == (3, "")
    assert r"arri\xe8re" in out


def test_wrong_use_ends_the_process_with_2_and_says_nothing_on_standard_output(tmp_path: Path) -> None:
    run = process(["measure", "strut", "none.jpg", "--leg", leg_file(tmp_path)], tmp_path, **PIPES)
    out, err = run.communicate(timeout=60)
    assert (run.returncode, out) == (2, "")
    assert err == (
        "gearwitness: none.jpg: the photo cannot be read (No such file or directory): "
        "give the path of a JPEG, HEIC or PNG file\n"
    )


def test_a_reader_that_went_away_changes_neither_the_status_nor_the_calm(tmp_path: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    arguments = ["measure", "strut", photo_file(tmp_path), "--leg", leg_file(tmp_path, SPRING)]
    run = process(arguments, tmp_path, stdout=writing, stderr=subprocess.PIPE)
    os.close(writing)
    _, err = run.communicate(timeout=60)
    assert (run.returncode, err) == (3, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no device that is always full")
def test_an_output_that_is_full_ends_with_2_and_a_sentence(tmp_path: Path) -> None:
    arguments = ["measure", "strut", photo_file(tmp_path), "--leg", leg_file(tmp_path, SPRING)]
    with Path("/dev/full").open("w") as full:
        run = process(arguments, tmp_path, stdout=full, stderr=subprocess.PIPE)
        _, err = run.communicate(timeout=60)
    assert run.returncode == 2
    assert err.startswith("gearwitness: standard output cannot be written") and err.count("\n") == 1


def test_without_a_standard_error_nothing_strays_to_standard_output(tmp_path: Path) -> None:
    run = process(["weigh"], tmp_path, stdout=subprocess.PIPE, preexec_fn=lambda: os.close(2))
    out, _ = run.communicate(timeout=60)
    assert (run.returncode, out) == (2, "")


def test_ctrl_c_ends_with_130_and_no_traceback(tmp_path: Path) -> None:
    pipe = tmp_path / "photo.jpg"
    os.mkfifo(pipe)
    # What runs the tests may itself have been started deaf to Ctrl-C, which children inherit.
    hearing = {"preexec_fn": lambda: signal.signal(signal.SIGINT, signal.SIG_DFL)}
    run = process(["measure", "strut", pipe, "--leg", leg_file(tmp_path)], tmp_path, **PIPES, **hearing)
    with pipe.open("wb"):  # returns when the program has opened its photo, which then never comes
        run.send_signal(signal.SIGINT)
        out, err = run.communicate(timeout=60)
    assert (run.returncode, out, err) == (130, "", "gearwitness: stopped before the end\n")
