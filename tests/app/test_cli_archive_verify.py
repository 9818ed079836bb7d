"""`gearwitness archive verify` on both grounds: what it says, and how it ends."""

from pathlib import Path

import pytest
from sqlalchemy import update

from app import cli
from app.archive import anchor_of
from app.archive.tables import hand_readings
from tests.app.archive.tampering import behind, put_raw
from tests.app.both_grounds import empty_ground, ground, grounds, house
from tests.app.records_house import WITHIN, House

__all__ = ["empty_ground", "ground", "grounds", "house"]


@pytest.fixture
def settings(house: House, monkeypatch: pytest.MonkeyPatch) -> House:
    """The house, found by the program through the environment."""
    for name, value in house.ground.environment().items():
        monkeypatch.setenv(name, value)
    return house


def test_a_clean_archive_ends_with_0_and_gives_the_head_for_next_time(
    settings: House, capsys: pytest.CaptureFixture[str]
) -> None:
    settings.confirmed(WITHIN)
    head = anchor_of(settings.archive.head())
    assert cli.main(["archive", "verify", "--anchor", head]) == 0
    said = capsys.readouterr().out
    assert f"Head of the archive's chain: {head}\nAll is as it was entered.\n" in said
    assert "2 files" in said


def test_faults_end_with_3_and_are_named_with_where_they_began(
    settings: House, capsys: pytest.CaptureFixture[str]
) -> None:
    item = settings.sent(WITHIN).item_id
    settings.by_hand(settings.mechanic, item, 89.0)
    put_raw(settings.ground, "notes.txt", b"hello")
    behind(settings, update(hand_readings).values(instrument="another"))
    assert cli.main(["archive", "verify"]) == 3
    said = capsys.readouterr().out
    assert ": not what the events say in instrument\n      began after event " in said
    assert "no row refers to notes.txt: harmless" in said
    assert said.endswith("2 faults found.\n")


def test_an_anchor_of_another_archive_ends_with_3(
    settings: House, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["archive", "verify", "--anchor", "ab" * 32]) == 3
    assert "this is another archive's" in capsys.readouterr().out


def test_what_is_no_anchor_ends_with_2(settings: House, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["archive", "verify", "--anchor", "yesterday"]) == 2
    given = capsys.readouterr()
    assert (given.out, "'yesterday' is no anchor" in given.err) == ("", True)


def test_where_there_is_no_archive_none_is_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["archive", "verify", "--home", str(tmp_path / "none")]) == 2
    assert "there is no archive in" in capsys.readouterr().err
    assert not (tmp_path / "none").exists()
