"""A programme's file: every fault at once, with its line, its cause and what to write."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.errors import ProgrammeError
from app.programme import read_programme, supplied_programme, supplied_text
from tests.app.cli_files import cli

TEXT = supplied_text()
LINES = TEXT.splitlines()


def faulty(text: str) -> str:
    with pytest.raises(ProgrammeError) as caught:
        read_programme(text, "own.toml")
    return str(caught.value)


def line_of(words: str) -> int:
    return next(number for number, line in enumerate(LINES, 1) if words in line)


def test_an_unknown_key_is_told_with_its_line_and_the_nearest_known_one() -> None:
    number = next(n for n, line in enumerate(LINES, 1) if line.startswith("method ="))
    text = TEXT.replace(LINES[number - 1], LINES[number - 1].replace("method", "methed"), 1)
    told = faulty(text)
    assert f"line {number}:" in told
    assert "methed" in told and "method" in told.replace("methed", "")


def test_all_faults_are_told_together() -> None:
    text = TEXT.replace('cautions = ["gear_can_fold"]', 'cautions = ["gear_can_fold", "no_such_caution"]', 1)
    text = text.replace('key = "trunnions"', 'key = "attachments"', 1)
    told = faulty(text)
    assert "no_such_caution" in told and "attachments" in told
    assert told.startswith("own.toml: ")
    assert told.count("\n  line ") >= 2


def test_what_is_no_toml_is_told_with_its_line() -> None:
    number = line_of('key = "trunnions"')
    told = faulty(TEXT.replace('key = "trunnions"', 'key = "trunnions', 1))
    assert f"line {number}" in told


def test_comments_and_layout_leave_the_version_and_words_change_it() -> None:
    version = supplied_programme().version
    assert read_programme("# our own\n\n" + TEXT, "own.toml").version == version
    assert (
        read_programme(TEXT.replace('revision = "supplied"', 'revision = "A"'), "own.toml").version != version
    )


@settings(max_examples=60, deadline=None)
@given(st.integers(0, len(TEXT) - 1), st.integers(1, 200), st.text(max_size=12))
def test_a_broken_file_raises_nothing_but_the_named_error(start: int, cut: int, put: str) -> None:
    try:
        read_programme(TEXT[:start] + put + TEXT[start + cut :], "own.toml")
    except ProgrammeError as error:
        assert "line " in str(error)


def test_the_command_lists_the_round_and_checks_a_shop_s_own(tmp_path: Path) -> None:
    shown = cli("programme", "show")
    assert shown.status == 0
    assert shown.out.index("ON WHEELS") < shown.out.index("RAISED AND PINNED") < shown.out.index("SWING")
    assert "Wheel well (hand and eye, photos may be searched beside it)" in shown.out
    assert "Attachments to the airframe (hand and eye)\n" in shown.out
    own = tmp_path / "own.toml"
    own.write_text(TEXT, encoding="utf-8")
    assert cli("programme", "check", own).out.startswith(f"{own}: 85 items, no fault")
    own.write_text(TEXT.replace("[[item]]", "[[itme]]", 1), encoding="utf-8")
    ended = cli("programme", "check", own)
    assert (ended.status, ended.out) == (2, "")
    assert "itme" in ended.err
