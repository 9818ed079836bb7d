"""People and legs entered on the command line: what `serve` then knows, and what is refused."""

import io
import sys
from pathlib import Path

import pytest

from app.archive import open_archive
from app.inspection import Inspections, SystemClock
from app.inspection.model import Aircraft, Basis, LegEntry, Role
from app.measuring.worker import Worker
from app.people import People
from tests.app.cli_files import cli

LEGS = Path(__file__).parents[2] / "demo_images" / "legs"
AIRCRAFT = ("--type", "Aster 210", "--operator", "Demo operator")


def typed(monkeypatch: pytest.MonkeyPatch, text: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO(text))


def test_a_person_entered_can_sign_in_with_the_password_and_the_roles(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    typed(monkeypatch, "a long enough one\n")
    ended = cli(
        "enter", "person", "Line mechanic", "--role", "mechanic", "--role", "inspector", "--home", tmp_path
    )
    assert (ended.status, ended.err) == (0, "")
    assert ended.out == "Entered Line mechanic: inspector, mechanic\n"
    archive = open_archive(tmp_path)
    try:
        people = People(archive.people, SystemClock(), 12)
        person = people.person_of(people.sign_in("line mechanic", "a long enough one"))
    finally:
        archive.close()
    assert person is not None
    assert person.roles == {Role.MECHANIC, Role.INSPECTOR}


def test_a_short_password_and_a_name_that_is_taken_are_wrong_use(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = ("enter", "person", "Inspector", "--role", "inspector", "--home", tmp_path)
    typed(monkeypatch, "short\n")
    ended = cli(*asked)
    assert (ended.status, ended.out) == (2, "")
    assert "password" in ended.err
    typed(monkeypatch, "a long enough one\n")
    assert cli(*asked).status == 0
    typed(monkeypatch, "a long enough one\n")
    again = cli(*asked)
    assert (again.status, again.out) == (2, "")
    assert "Inspector" in again.err


def test_the_first_leg_brings_its_aircraft_and_every_leg_is_supporting(tmp_path: Path) -> None:
    first = cli("enter", "leg", LEGS / "nose.toml", *AIRCRAFT, "--home", tmp_path)
    second = cli("enter", "leg", LEGS / "left_main.toml", "--home", tmp_path)
    assert (first.status, second.status, first.err, second.err) == (0, 0, "", "")
    assert "supporting" in first.out
    archive = open_archive(tmp_path)
    try:
        with archive.records.begin() as work:
            (aircraft,) = work.all(Aircraft)
            legs = work.all(LegEntry)
    finally:
        archive.close()
    assert (aircraft.registration, aircraft.kind, aircraft.operator) == (
        "ZZ-GWT",
        "Aster 210",
        "Demo operator",
    )
    assert {leg.position for leg in legs} == {"nose", "left main"}
    assert {leg.basis for leg in legs} == {Basis.SUPPORTING}


def test_the_first_leg_without_type_or_operator_is_refused_and_enters_nothing(tmp_path: Path) -> None:
    ended = cli("enter", "leg", LEGS / "nose.toml", "--type", "Aster 210", "--home", tmp_path)
    assert (ended.status, ended.out) == (2, "")
    assert "give its operator with --operator" in ended.err
    archive = open_archive(tmp_path)
    try:
        people = People(archive.people, SystemClock(), 12)
        inspections = Inspections(archive.records, archive.photos, SystemClock(), Worker(), people)
        assert inspections.aircraft() == ()
    finally:
        archive.close()


def test_a_leg_entered_twice_and_data_that_cannot_be_used_are_refused(tmp_path: Path) -> None:
    assert cli("enter", "leg", LEGS / "nose.toml", *AIRCRAFT, "--home", tmp_path).status == 0
    again = cli("enter", "leg", LEGS / "nose.toml", "--home", tmp_path)
    assert again.status == 2
    assert "already" in again.err
    broken = tmp_path / "broken.toml"
    broken.write_text("aircraft = 3\n", encoding="utf-8")
    assert cli("enter", "leg", broken, "--home", tmp_path).status == 2
