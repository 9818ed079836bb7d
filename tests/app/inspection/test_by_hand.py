import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Basis, Discrepancy, HandReading, Item, ItemState
from tests.app.records_house import OUTSIDE, PASSWORD, UNDECIDED, WITHIN, House, leg_toml, refusal


def wanted(house: House) -> Item:
    """An item that two people have to measure by hand."""
    return house.item_of(house.confirmed(UNDECIDED))


def test_one_measurement_beside_a_supporting_legs_photo_closes_it(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    assert house.by_hand(house.mechanic, item, 89.2).state is ItemState.CLOSED


def test_one_that_does_not_stand_beside_it_counts_as_the_first_of_two(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    item = house.by_hand(house.mechanic, item, 92.0)
    assert (item.state, item.hands_wanted) == (ItemState.HAND_WANTED, 2)
    assert house.by_hand(house.inspector, item, 92.2).state is ItemState.CLOSED


def test_two_people_who_agree_within_close_it(house: House) -> None:
    item = wanted(house)
    assert house.by_hand(house.mechanic, item, 93.0).state is ItemState.HAND_WANTED
    assert house.by_hand(house.inspector, item, 93.2).state is ItemState.CLOSED


def test_two_people_who_agree_outside_open_a_discrepancy(house: House) -> None:
    item = wanted(house)
    house.by_hand(house.mechanic, item, 95.6)
    item = house.by_hand(house.inspector, item, 96.1)
    story = house.inspections.item_story(house.mechanic, item.id)
    (found,) = [one for _, one in story.entries if isinstance(one, Discrepancy)]
    assert item.state is ItemState.DISCREPANCY
    assert (found.try_id, found.photo) == (None, None)
    assert found.text.startswith("Strut extension 96.1 mm ± 0.5 mm, measured by hand, is outside its limits")
    # The visit follows no programme: its discrepancy can be put off nevertheless, and opens nothing again.
    assert house.inspections.opened_by_deferral(item.inspection_id, found.id) == ()


def test_two_people_who_disagree_both_measure_anew(house: House) -> None:
    item = wanted(house)
    house.by_hand(house.mechanic, item, 90.0)
    anew = house.by_hand(house.inspector, item, 93.0)
    assert (anew.state, anew.hand_round, anew.hands_wanted) == (ItemState.HAND_WANTED, item.hand_round + 1, 2)
    assert house.by_hand(house.inspector, item, 93.0).state is ItemState.HAND_WANTED
    assert house.by_hand(house.mechanic, item, 93.1).state is ItemState.CLOSED


def test_undecided_by_hand_asks_anew(house: House) -> None:
    item = wanted(house)
    house.by_hand(house.mechanic, item, 95.1)
    anew = house.by_hand(house.inspector, item, 95.2)
    assert (anew.state, anew.hand_round) == (ItemState.HAND_WANTED, item.hand_round + 1)
    house.by_hand(house.mechanic, item, 95.12, u=0.05)
    assert house.by_hand(house.inspector, item, 95.14, u=0.05).state is ItemState.CLOSED


def test_one_person_alone_never_closes_what_two_are_asked_for(house: House) -> None:
    item = wanted(house)
    house.by_hand(house.inspector, item, 93.0)
    with pytest.raises(Conflict, match="another person has to measure"):
        house.by_hand(house.inspector, item, 93.0)
    assert house.item(item.id).state is ItemState.HAND_WANTED


def test_an_open_discrepancy_stays_one_whatever_the_hands_say(house: House) -> None:
    house.confirmed(OUTSIDE)
    item = house.item_of(house.confirmed(WITHIN))
    house.by_hand(house.mechanic, item, 89.0)
    assert house.by_hand(house.inspector, item, 89.1).state is ItemState.DISCREPANCY


def test_an_outside_that_was_never_sent_is_settled_within_by_two_hands(house: House) -> None:
    house.measured(OUTSIDE)
    item = house.item_of(house.confirmed(WITHIN))
    house.by_hand(house.mechanic, item, 89.0)
    assert house.by_hand(house.inspector, item, 89.1).state is ItemState.CLOSED


def test_a_strut_is_measured_by_hand_alone_without_any_photo(house: House) -> None:
    inspection = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    item = house.inspections.items(inspection.id)[0]
    first = house.by_hand(house.mechanic, item, 89.0)
    assert (first.state, first.hands_wanted, first.hand_round) == (ItemState.HAND_WANTED, 2, 1)
    assert house.by_hand(house.inspector, item, 89.1).state is ItemState.CLOSED


def test_a_sent_refusal_is_settled_by_two_hands(house: House) -> None:
    sent = house.sent(refusal())
    house.by_hand(house.mechanic, sent.item_id, 89.0)
    assert house.by_hand(house.inspector, sent.item_id, 89.1).state is ItemState.CLOSED


def test_while_a_reading_waits_a_hand_measurement_only_stands_beside_it(house: House) -> None:
    sent = house.sent(WITHIN, house.supporting)
    assert house.by_hand(house.mechanic, sent.item_id, 89.0).state is ItemState.WAITING
    assert house.sign(house.inspector, house.placed(sent, WITHIN)).outcome == "within_closed"


def test_what_is_closed_is_not_measured_again(house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN))
    with pytest.raises(Conflict, match="closed in this inspection"):
        house.by_hand(house.mechanic, item, 89.0)


def test_a_hand_measurement_is_signed_with_the_persons_password(house: House) -> None:
    item = wanted(house)
    with pytest.raises(NotAllowed, match="not your password"):
        house.inspections.hand_measurement(house.mechanic, item.id, 93.0, 0.5, "steel rule 4", "wrong")
    story = house.inspections.item_story(house.mechanic, item.id)
    assert not any(isinstance(one, HandReading) for _, one in story.entries)


@pytest.mark.parametrize(("value", "tool", "said"), [(0.0, "rule", "no hand measurement"), (93.0, " ", "instrument has to be told")])  # fmt: skip
def test_a_hand_measurement_has_a_length_and_an_instrument(
    house: House, value: float, tool: str, said: str
) -> None:
    item = wanted(house)
    with pytest.raises(UsageError, match=said):
        house.inspections.hand_measurement(house.mechanic, item.id, value, 0.5, tool, PASSWORD)


def test_what_waits_for_hands_is_listed(house: House) -> None:
    item = wanted(house)
    other = house.item(house.sent(refusal(), house.supporting).item_id)
    assert house.inspections.hand_wanted() == (other, item)  # left main before nose


def test_a_chart_is_entered_with_the_pressure_that_a_measured_try_told(house: House) -> None:
    rows = "[[500.0, 100.0], [1000.0, 88.9], [2000.0, 80.0]]"
    chart = f"extension_table = {rows}\nlower_mm = -6.35\nupper_mm = 6.35\n"
    toml = leg_toml("ZZ-GWT", "right main")
    toml = toml.replace("extension_mm = 88.9\nlower_mm = 82.55\nupper_mm = 95.25\n", chart)
    leg = house.inspections.enter_leg(house.aircraft.id, "right main", toml, Basis.PRIMARY)
    refused = house.measured(refusal(), leg, pressure_kpa=1000.0, pressure_u_kpa=10.0)
    house.inspections.send(house.mechanic, refused.id)
    house.by_hand(house.mechanic, refused.item_id, 89.0)
    assert house.by_hand(house.inspector, refused.item_id, 89.1).state is ItemState.CLOSED
