import pytest

from app.errors import Conflict, NotAllowed, NotFound, UsageError
from app.inspection import Basis, ItemState, Person
from tests.app.records_house import OUTSIDE, UNDECIDED, WITHIN, House, leg_toml
from vision.errors import LegError


def test_an_inspection_is_opened_once_with_an_item_for_each_leg(house: House) -> None:
    opened = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    assert house.inspections.open_inspection(house.inspector, house.aircraft.id) == opened
    items = house.inspections.items(opened.id)
    assert [item.leg_id for item in items] == [house.supporting.id, house.primary.id]
    assert {item.state for item in items} == {ItemState.TO_DO}
    assert house.inspections.inspections() == (opened,)


def test_a_leg_that_is_entered_later_gets_its_item_in_the_open_inspection(house: House) -> None:
    opened = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    toml = leg_toml("ZZ-GWT", "right main")
    leg = house.inspections.enter_leg(house.aircraft.id, "right main", toml, Basis.PRIMARY)
    house.stored(leg)
    assert [item.leg_id for item in house.inspections.items(opened.id)][-1] == leg.id


@pytest.mark.parametrize(
    ("registration", "position", "said"),
    [("ZZ-GWX", "right main", "aircraft = 'ZZ-GWX'"), ("ZZ-GWT", "left main", "position = 'left main'")],
)
def test_a_legs_data_is_that_of_this_aircraft_and_position(
    house: House, registration: str, position: str, said: str
) -> None:
    with pytest.raises(LegError, match=said):
        house.inspections.enter_leg(
            house.aircraft.id, "right main", leg_toml(registration, position), Basis.PRIMARY
        )


def test_a_legs_data_that_cannot_be_measured_with_is_refused(house: House) -> None:
    with pytest.raises(LegError, match="piston_diameter_mm"):
        house.inspections.enter_leg(
            house.aircraft.id,
            "right main",
            leg_toml("ZZ-GWT", "right main").replace("piston_diameter_mm = 62.0\n", ""),
            Basis.PRIMARY,
        )


def test_aircraft_and_positions_are_entered_once(house: House) -> None:
    with pytest.raises(Conflict, match="ZZ-GWT is there already"):
        house.inspections.enter_aircraft("ZZ-GWT", "Aster 210", "demo operator")
    with pytest.raises(Conflict, match="has a leg 'nose' already"):
        house.inspections.enter_leg(house.aircraft.id, "nose", leg_toml("ZZ-GWT", "nose"), Basis.PRIMARY)
    with pytest.raises(UsageError, match="registration has to be told"):
        house.inspections.enter_aircraft("  ", "Aster 210", "demo operator")
    with pytest.raises(NotFound, match="nothing here with the id"):
        house.inspections.enter_leg("nowhere", "nose", leg_toml("ZZ-GWT", "nose"), Basis.PRIMARY)


def test_a_finished_inspection_is_closed_and_the_next_one_is_new(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN))
    closed = house.inspections.close_inspection(house.inspector, item.inspection_id)
    assert closed.closed_at is not None
    new = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    assert house.inspections.inspections() == (new, closed)


def test_a_closed_inspection_does_not_change_any_more(house: House) -> None:
    slow = house.inspections.begin_try(house.mechanic, house.supporting.id, ("stated",))
    item = house.item_of(house.confirmed(WITHIN))
    house.inspections.close_inspection(house.inspector, item.inspection_id)
    for act in (
        lambda: house.inspections.photo_arrived(house.mechanic, slow.id, b"too late"),
        lambda: house.inspections.own_hand_reading(house.mechanic, slow.id, 89.0, 0.5),
        lambda: house.by_hand(house.mechanic, slow.item_id, 89.0),
        lambda: house.inspections.close_inspection(house.inspector, item.inspection_id),
    ):
        with pytest.raises(Conflict, match="closed and does not change any more"):
            act()


def test_what_waits_for_somebody_keeps_an_inspection_open(house: House) -> None:
    sent = house.sent(UNDECIDED)
    inspection = house.item(sent.item_id).inspection_id

    def refused(said: str) -> None:
        with pytest.raises(Conflict, match=f"On the nose leg {said}"):
            house.inspections.close_inspection(house.inspector, inspection)

    refused("a reading waits for its confirmation")
    house.sign(house.inspector, house.placed(sent, UNDECIDED))
    refused("a hand measurement is wanted")
    house.by_hand(house.mechanic, sent.item_id, 97.0)
    house.by_hand(house.inspector, sent.item_id, 97.0)
    refused("a discrepancy is open")


def test_a_photo_under_way_and_a_reading_not_sent_keep_an_inspection_open(house: House) -> None:
    stored = house.stored()
    inspection = house.item(stored.item_id).inspection_id
    with pytest.raises(Conflict, match="a photo is being measured"):
        house.inspections.close_inspection(house.inspector, inspection)
    house.measured(OUTSIDE, house.supporting)
    house.inspections.measuring_failed(stored.id, "no photo")
    with pytest.raises(Conflict, match="On the left main leg a reading was not sent"):
        house.inspections.close_inspection(house.inspector, inspection)


def test_somebody_without_a_role_closes_nothing(house: House) -> None:
    opened = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    with pytest.raises(NotAllowed, match="Only a mechanic or an inspector"):
        house.inspections.close_inspection(Person("x", "Visitor", frozenset()), opened.id)
