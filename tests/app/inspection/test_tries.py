import pytest
from sqlalchemy import func, select

from app.archive.tables import events
from app.errors import Conflict, NotAllowed, NotFound, UsageError
from app.inspection import ItemState, Measured, Try, TryState
from app.inspection.canonical import sha256
from tests.app.records_house import OUTSIDE, STATED, WITHIN, House, reading, refusal
from vision.notes import WRONG_LEG


def read(house: House, try_id: str) -> Try:
    return house.inspections.try_of(house.mechanic, try_id)


def test_a_photo_is_on_the_disc_and_in_the_records_when_it_is_acknowledged(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    stored = house.inspections.photo_arrived(house.mechanic, begun.id, b"a photo", "IMG 1.jpg")
    assert (stored.state, stored.photo, stored.photo_name) == (
        TryState.STORED,
        sha256(b"a photo"),
        "IMG 1.jpg",
    )
    assert house.archive.photos.get(sha256(b"a photo")) == b"a photo"
    assert read(house, begun.id) == stored


def test_the_same_photo_again_is_the_same_try(house: House) -> None:
    stored = house.stored()
    entered = _events(house)
    again = house.inspections.photo_arrived(house.mechanic, stored.id, b"photo 1", "other name.jpg")
    assert again == stored
    assert _events(house) == entered


def test_the_same_photo_again_is_acknowledged_also_after_it_was_measured(house: House) -> None:
    measured = house.measured(WITHIN)
    assert house.inspections.photo_arrived(house.mechanic, measured.id, b"photo 1") == measured


def test_a_second_photo_does_not_replace_the_first(house: House) -> None:
    stored = house.stored()
    with pytest.raises(Conflict, match="has another photo already, which stays: begin a new try"):
        house.inspections.photo_arrived(house.mechanic, stored.id, b"another photo")
    assert read(house, stored.id).photo == stored.photo
    assert house.archive.verify().orphans == ()


def test_another_persons_try_takes_no_photo(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    with pytest.raises(NotAllowed, match="belongs to another person"):
        house.inspections.photo_arrived(house.inspector_2, begun.id, b"a photo")
    assert house.archive.verify().orphans == ()


def test_nothing_arrives_at_a_try_that_is_not_there(house: House) -> None:
    with pytest.raises(NotFound, match="nothing here with the id 'nowhere'"):
        house.inspections.photo_arrived(house.mechanic, "nowhere", b"a photo")


def test_an_empty_photo_is_refused(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    with pytest.raises(UsageError, match="arrived empty"):
        house.inspections.photo_arrived(house.mechanic, begun.id, b"")


def test_a_file_name_that_no_database_could_carry_is_cleaned(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    stored = house.inspections.photo_arrived(house.mechanic, begun.id, b"a photo", "a\x00b\ud800\n.jpg")
    assert stored.photo_name == "ab?.jpg"


@pytest.mark.parametrize("stated", [(), ("",), (" \n",)])
def test_a_try_without_a_stated_condition_does_not_begin(house: House, stated: tuple[str, ...]) -> None:
    with pytest.raises(UsageError, match="has to be"):
        house.inspections.begin_try(house.mechanic, house.primary.id, stated)


def test_an_option_that_cannot_be_written_down_is_refused(house: House) -> None:
    with pytest.raises(UsageError, match="cannot be kept"):
        house.inspections.begin_try(house.mechanic, house.primary.id, STATED, {"stand_off_mm": float("nan")})


def test_who_is_no_mechanic_takes_no_photo(house: House) -> None:
    with pytest.raises(NotAllowed, match="taken by a mechanic"):
        house.inspections.begin_try(house.inspector, house.primary.id, STATED)


def test_options_reach_the_measuring_unchanged(house: House) -> None:
    told = {"check_bar_mm": [199.8, None], "stand_off_mm": 0.1 + 0.2}
    stored = house.stored(house.primary, **told)
    assert house.inspections.task(stored.id) == (b"photo 1", house.primary.toml, told)


def test_progress_is_told_and_gone_with_the_result(house: House) -> None:
    stored = house.stored()
    house.inspections.measuring(stored.id, "finding the card")
    now = read(house, stored.id)
    assert (now.state, now.stage) == (TryState.MEASURING, "finding the card")
    house.inspections.measured(stored.id, reading(WITHIN))
    assert read(house, stored.id).stage == ""


def test_what_was_not_measured_when_the_server_ended_is_found_again_oldest_first(house: House) -> None:
    first, second = house.stored(), house.stored(house.supporting)
    house.inspections.measuring(second.id, "reading the photo")
    house.measured(WITHIN)
    assert [one.id for one in house.inspections.unfinished()] == [first.id, second.id]


def test_the_first_result_of_a_try_stands(house: House) -> None:
    first = house.measured(WITHIN)
    assert house.inspections.measured(first.id, reading(OUTSIDE)) == first
    assert house.inspections.measuring_failed(first.id, "too late") == first
    house.inspections.measuring(first.id, "reading the photo")
    assert read(house, first.id) == first


def test_a_result_that_is_neither_reading_nor_refusal_is_not_entered(house: House) -> None:
    stored = house.stored()
    with pytest.raises(ValueError, match="a reading, searched or refused"):
        house.inspections.measured(stored.id, Measured({"status": "perhaps"}))
    assert read(house, stored.id) == stored


def test_a_photo_that_cannot_be_measured_stays_with_its_sentence(house: House) -> None:
    stored = house.stored()
    house.inspections.measuring_failed(stored.id, "this is no photo")
    failed = read(house, stored.id)
    assert (failed.state, failed.failure, failed.photo) == (TryState.FAILED, "this is no photo", stored.photo)
    with pytest.raises(Conflict, match="no result that could be sent"):
        house.inspections.send(house.mechanic, stored.id)


def test_a_leg_tag_mismatch_is_the_measurements_refusal_and_the_try_stays(house: House) -> None:
    refused = house.measured(refusal(WRONG_LEG))
    assert (refused.state, (refused.result or {})["cause"]) == (TryState.REFUSED, "wrong-leg")
    better = house.measured(WITHIN)
    story = house.inspections.item_story(house.mechanic, refused.item_id)
    assert [entry for _, entry in story.entries] == [refused, better]


def test_a_reading_that_is_sent_waits_and_a_refusal_that_is_sent_asks_two_people_for_the_rule(
    house: House,
) -> None:
    sent, refused = house.sent(WITHIN), house.sent(refusal(), house.supporting)
    assert (sent.state, house.item(sent.item_id).state) == (TryState.SENT, ItemState.WAITING)
    item = house.item(refused.item_id)
    assert (refused.state, item.state, item.hands_wanted) == (TryState.SETTLED, ItemState.HAND_WANTED, 2)


def test_sending_twice_changes_nothing(house: House) -> None:
    sent = house.sent(WITHIN)
    entered = _events(house)
    assert house.inspections.send(house.mechanic, sent.id) == sent
    assert _events(house) == entered


def test_nobody_sends_another_persons_try(house: House) -> None:
    measured = house.measured(WITHIN)
    with pytest.raises(NotAllowed, match="belongs to another person"):
        house.inspections.send(house.inspector_2, measured.id)


def test_while_one_reading_waits_no_other_is_begun_or_sent(house: House) -> None:
    other = house.measured(WITHIN)
    house.sent(WITHIN)
    with pytest.raises(Conflict, match="waits for its confirmation"):
        house.inspections.send(house.mechanic, other.id)
    with pytest.raises(Conflict, match="waits for its confirmation"):
        house.stored()


def test_after_a_sent_refusal_a_better_photo_may_follow(house: House) -> None:
    house.sent(refusal())
    assert house.confirmed(WITHIN).outcome == "within_closed"


def test_where_a_confirmation_asked_for_hands_no_other_photo_helps(house: House) -> None:
    house.confirmed(WITHIN, blind=92.0)
    with pytest.raises(Conflict, match="another photo cannot replace it: measure by hand"):
        house.stored()


def test_a_closed_item_takes_no_try(house: House) -> None:
    house.confirmed(WITHIN)
    with pytest.raises(Conflict, match="closed in this inspection"):
        house.stored()


def test_own_hand_reading_comes_before_the_machines(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    house.inspections.own_hand_reading(house.mechanic, begun.id, 890, 0.5)
    corrected = house.inspections.own_hand_reading(house.mechanic, begun.id, 89.0, 0.5)
    assert (corrected.own_hand_mm, corrected.own_hand_u_mm) == (89.0, 0.5)
    house.inspections.photo_arrived(house.mechanic, begun.id, b"a photo")
    house.inspections.own_hand_reading(house.mechanic, begun.id, 89.1, 0.5)
    assert house.inspections.measured(begun.id, reading(WITHIN)).own_hand_mm == 89.1


@pytest.mark.parametrize("result", [reading(WITHIN), refusal()], ids=["reading", "refusal"])
def test_own_hand_reading_after_the_machines_is_refused(house: House, result: Measured) -> None:
    measured = house.measured(result)
    with pytest.raises(NotAllowed, match="only before a reading of this strut is shown"):
        house.inspections.own_hand_reading(house.mechanic, measured.id, 89.0, 0.5)
    assert read(house, measured.id).own_hand_mm is None


def test_a_new_try_does_not_make_a_hand_reading_blind_again(house: House) -> None:
    house.measured(WITHIN)
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    with pytest.raises(NotAllowed, match="enter it as a hand measurement instead"):
        house.inspections.own_hand_reading(house.mechanic, begun.id, 88.9, 0.5)


def test_own_hand_reading_is_the_performers(house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    with pytest.raises(NotAllowed, match="belongs to another person"):
        house.inspections.own_hand_reading(house.inspector_2, begun.id, 88.9, 0.5)


@pytest.mark.parametrize(("value", "u"), [(0, 0.5), (-1, 0.5), (float("nan"), 0.5), (88.9, 0), (88.9, float("inf")), (88900, 1)])  # fmt: skip
def test_a_hand_reading_that_cannot_be_is_refused(house: House, value: float, u: float) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    with pytest.raises(UsageError, match="no hand measurement of a strut"):
        house.inspections.own_hand_reading(house.mechanic, begun.id, value, u)


def test_an_outside_reading_that_comes_late_reopens_a_closed_item(house: House) -> None:
    slow = house.stored()
    confirmed = house.confirmed(WITHIN)
    assert house.item_of(confirmed).state is ItemState.CLOSED
    house.inspections.measured(slow.id, reading(OUTSIDE))
    item = house.item_of(confirmed)
    assert (item.state, item.hands_wanted) == (ItemState.HAND_WANTED, 2)


def test_an_outside_reading_that_comes_late_makes_one_wanted_hand_two(house: House) -> None:
    slow = house.stored(house.supporting)
    confirmed = house.confirmed(WITHIN, house.supporting)
    assert house.item_of(confirmed).hands_wanted == 1
    house.inspections.measured(slow.id, reading(OUTSIDE))
    item = house.by_hand(house.mechanic, house.item_of(confirmed), 89.0)
    assert (item.state, item.hands_wanted) == (ItemState.HAND_WANTED, 2)


def test_a_within_reading_that_comes_late_changes_nothing(house: House) -> None:
    slow = house.stored()
    confirmed = house.confirmed(WITHIN)
    house.inspections.measured(slow.id, reading(WITHIN))
    assert house.item_of(confirmed).state is ItemState.CLOSED


def _events(house: House) -> int:
    with house.archive.records.look() as r:
        return r.connection.execute(select(func.count()).select_from(events)).scalar_one()
