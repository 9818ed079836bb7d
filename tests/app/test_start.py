"""The start script's decisions; that it really installs is tried by .ci/run on a bare machine."""

import subprocess
import sys
from collections.abc import Sequence
from pathlib import Path

import pytest

from app import start


def lacking(monkeypatch: pytest.MonkeyPatch, *missing: str) -> None:
    monkeypatch.setattr(start, "find_spec", lambda name: None if name in missing else object())


@pytest.fixture
def ran(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """A clone without an environment; commands are noted and not run, the maker's leaves a Python."""
    lines: list[str] = []

    def note(command: Sequence[str], extra: dict[str, str]) -> bool:
        lines.append(" ".join(command[1:]))
        if command[-1] == str(start.ENVIRONMENT):
            (start.ENVIRONMENT / "bin").mkdir(parents=True)
            (start.ENVIRONMENT / "bin" / "python").touch()
        return True

    monkeypatch.setattr(start, "ROOT", tmp_path)
    monkeypatch.setattr(start, "ENVIRONMENT", tmp_path / ".venv")
    monkeypatch.setattr(start, "_OURS", tmp_path / ".venv" / "made-by-start")
    monkeypatch.setattr(start, "_TOOL", tmp_path / ".local" / "virtualenv")
    monkeypatch.setattr(start, "_run", note)
    monkeypatch.setattr(start, "_become", lambda command: lines.append("become " + " ".join(command)) or 0)
    monkeypatch.setattr("os.chdir", lambda path: None)
    lacking(monkeypatch)  # nothing, whatever the Python that runs this lacks
    (tmp_path / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    return lines


def test_the_first_start_makes_installs_and_hands_over(ran: list[str], tmp_path: Path) -> None:
    assert start.main(["demo", "--measure-only"]) == 0
    environment = tmp_path / ".venv"
    assert ran == [
        f"-m venv {environment}",
        f"-m pip install -qq --disable-pip-version-check --editable {tmp_path}",
        f"become {environment}/bin/gearwitness demo --measure-only",
    ]


def test_the_second_start_hands_over_at_once(ran: list[str]) -> None:
    start.main(["cards"])
    ran.clear()
    start.main(["cards"])
    assert [line.split()[0] for line in ran] == ["become"]


def test_tests_need_more_than_the_program_and_the_program_nothing_after_them(ran: list[str]) -> None:
    start.main(["cards"])
    ran.clear()
    start.main(["test", "-q"])
    assert ran[0].endswith("[test]")
    assert ran[1].endswith("python -m pytest -q")
    ran.clear()
    start.main(["cards"])
    assert [line.split()[0] for line in ran] == ["become"]


@pytest.mark.parametrize("change", ["settings", "moved"])
def test_changed_settings_or_a_moved_clone_are_installed_again(
    change: str, ran: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    start.main(["cards"])
    ran.clear()
    if change == "settings":
        (tmp_path / "pyproject.toml").write_text("[project]\nname = 'x'\n", encoding="utf-8")
    else:
        moved = tmp_path.with_name(f"{tmp_path.name}-moved")
        moved.mkdir()
        (moved / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
        monkeypatch.setattr(start, "ROOT", moved)
    start.main(["cards"])
    assert ran[0].startswith("-m pip install")


@pytest.mark.parametrize("missing", ["venv", "ensurepip"])
def test_where_venv_is_not_whole_virtualenv_takes_its_place(
    missing: str, ran: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lacking(monkeypatch, missing)
    start.main(["cards"])
    assert ran[0].endswith(f"--upgrade --target {tmp_path / '.local' / 'virtualenv'} virtualenv")
    assert ran[1] == f"-m virtualenv --quiet {tmp_path / '.venv'}"


def test_without_pip_and_venv_it_says_what_to_install(
    ran: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    lacking(monkeypatch, "ensurepip", "pip")
    assert start.main(["cards"]) == start.FAILED
    assert "has neither pip nor a whole venv: install one of them" in capsys.readouterr().err
    assert ran == []


def test_an_environment_left_half_made_is_made_anew(ran: list[str], tmp_path: Path) -> None:
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    (tmp_path / ".venv" / "bin" / "python").touch()
    (tmp_path / ".venv" / "made-by-start").touch()
    start.main(["cards"])
    assert ran[0] == f"-m venv {tmp_path / '.venv'}"


def test_somebody_elses_environment_is_used_and_never_removed(ran: list[str], tmp_path: Path) -> None:
    (tmp_path / ".venv" / "bin").mkdir(parents=True)
    (tmp_path / ".venv" / "bin" / "python").touch()
    (tmp_path / ".venv" / "mine").touch()
    start.main(["cards"])
    assert ran[0].startswith("-m pip install")
    assert (tmp_path / ".venv" / "mine").exists()


def test_a_folder_that_is_no_environment_is_left_alone(
    ran: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / ".venv").mkdir()
    assert start.main(["cards"]) == start.FAILED
    assert "is there but holds no Python: move it away" in capsys.readouterr().err
    assert ran == []


def test_a_pip_that_fails_is_told_and_tried_again_next_time(
    ran: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    noted = start._run
    monkeypatch.setattr(start, "_run", lambda command, extra: noted(command, extra) and "pip" not in command)
    assert start.main(["cards"]) == start.FAILED
    assert "check the network and the space left" in capsys.readouterr().err
    ran.clear()
    start.main(["cards"])
    assert ran[0].startswith("-m pip install")


def test_an_old_python_is_told_so(
    ran: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 13, "final", 0))
    assert start.main(["cards"]) == start.FAILED
    assert "Python 3.11 or newer is needed, this is 3.10.13" in capsys.readouterr().err
    assert ran == []


def test_it_runs_without_anything_installed() -> None:
    """A Python without site packages reads the whole script."""
    code = f"import runpy; runpy.run_path({start.__file__!r}, run_name='not started')"
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", code], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
