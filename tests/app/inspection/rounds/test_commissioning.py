from collections.abc import Callable

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Basis, LegEntry
from tests.app.records_house import PASSWORD
from tests.app.rounds_house import RoundHouse
from vision.errors import LegError

Open = Callable[..., RoundHouse]


def leg(opened: RoundHouse) -> LegEntry:
    (found,) = (one for one in opened.use.legs(opened.house.aircraft.id) if one.position == "left main")
    return found


def proposed(opened: RoundHouse, **more):  # type: ignore[no-untyped-def]
    there = leg(opened)
    told = {"basis": there.basis, "reason": "new revision of the manual"} | more
    toml = there.toml.replace("rev 3", "rev 4")
    return opened.use.propose_leg_change(opened.mechanic, there.id, toml, **told)


def test_a_legs_data_is_changed_by_two_people(round_of: Open) -> None:
    opened = round_of("hoses")
    made = proposed(opened)
    assert "rev 3" in leg(opened).toml
    opened.use.approve_leg_change(opened.inspector, made.id, PASSWORD)
    assert "rev 4" in leg(opened).toml
    assert opened.use.leg_changes(made.leg_id)[0].toml_before == made.toml_before
    assert opened.house.archive.verify().faults == ()


def test_who_proposed_it_does_not_approve_it(round_of: Open) -> None:
    opened = round_of("hoses")
    there = leg(opened)
    made = opened.use.propose_leg_change(
        opened.inspector, there.id, there.toml.replace("rev 3", "rev 4"), there.basis, "new revision"
    )
    with pytest.raises(NotAllowed, match="changed by two people"):
        opened.use.approve_leg_change(opened.inspector, made.id, PASSWORD)
    with pytest.raises(NotAllowed, match="approved by an inspector or an authorised signatory"):
        opened.use.approve_leg_change(opened.mechanic, made.id, PASSWORD)
    with pytest.raises(NotAllowed, match="not your password"):
        opened.use.approve_leg_change(opened.signatory, made.id, "wrong one")


def test_one_change_of_a_leg_waits_at_a_time_and_is_approved_once(round_of: Open) -> None:
    opened = round_of("hoses")
    made = proposed(opened)
    with pytest.raises(Conflict, match="waits for its approval"):
        proposed(opened)
    opened.use.approve_leg_change(opened.inspector, made.id, PASSWORD)
    with pytest.raises(Conflict, match="approved already"):
        opened.use.approve_leg_change(opened.signatory, made.id, PASSWORD)


def test_nothing_changed_and_no_reason_are_no_change(round_of: Open) -> None:
    opened = round_of("hoses")
    there = leg(opened)
    with pytest.raises(Conflict, match="the data that the leg has"):
        opened.use.propose_leg_change(opened.mechanic, there.id, there.toml, there.basis, "why not")
    with pytest.raises(UsageError, match="The reason of the change has to be told"):
        proposed(opened, reason=" ")


def test_another_legs_data_is_refused(round_of: Open) -> None:
    opened = round_of("hoses")
    there = leg(opened)
    with pytest.raises(LegError, match="enter the data of this very leg"):
        opened.use.propose_leg_change(
            opened.mechanic, there.id, there.toml.replace("left main", "nose"), there.basis, "x"
        )


def test_photo_readings_stand_by_themselves_only_with_a_named_study(round_of: Open) -> None:
    opened = round_of("hoses")
    with pytest.raises(UsageError, match="The paired study has to be told"):
        proposed(opened, basis=Basis.PRIMARY)
    made = proposed(opened, basis=Basis.PRIMARY, study="study 7 of 2024-05-01")
    opened.use.approve_leg_change(opened.inspector, made.id, PASSWORD)
    assert leg(opened).basis is Basis.PRIMARY


def test_the_record_of_an_earlier_visit_keeps_the_data_of_its_time(round_of: Open) -> None:
    from dataclasses import replace  # noqa: PLC0415 - only here

    opened = round_of("hoses")
    with opened.house.archive.records.begin() as work:
        work.enter(
            "closed-for-the-test", None, None, replace(opened.visit, closed_at=opened.house.clock.now())
        )
    before = opened.use.record(opened.visit.id)["legs"]
    made = proposed(opened)
    opened.use.approve_leg_change(opened.inspector, made.id, PASSWORD)
    assert opened.use.record(opened.visit.id)["legs"] == before
