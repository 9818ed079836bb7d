"""Who learns what was read before he has read himself."""

import pytest

from app.errors import NotAllowed, NotFound
from app.inspection import ArchiveFilter, BlindReading, Confirmation, HandReading, Person, Try
from tests.app.records_house import OUTSIDE, WITHIN, House, refusal


def results_in(house: House, person: Person, item_id: str) -> list[bool]:
    story = house.inspections.item_story(person, item_id)
    assert story.withheld is not all(one.result for _, one in story.entries if isinstance(one, Try))
    return [one.result is not None for _, one in story.entries if isinstance(one, Try)]


def test_an_inspector_learns_no_result_before_his_own_placing_and_all_after_it(house: House) -> None:
    earlier, sent = house.measured(OUTSIDE), house.sent(WITHIN)
    assert results_in(house, house.inspector, sent.item_id) == [False, False]
    for one in (earlier, sent):
        assert not house.inspections.may_see_annotated(house.inspector, one.annotated or "")
    house.placed(sent, WITHIN)
    assert results_in(house, house.inspector, sent.item_id) == [True, True]
    for one in (earlier, sent):
        assert house.inspections.may_see_annotated(house.inspector, one.annotated or "")


def test_a_try_that_is_not_sent_yet_is_hidden_too(house: House) -> None:
    measured = house.measured(WITHIN)
    assert results_in(house, house.inspector, measured.item_id) == [False]
    assert not house.inspections.may_see_photo(house.inspector, measured.photo or "")
    with pytest.raises(NotAllowed, match="belongs to another person"):
        house.inspections.try_of(house.inspector, measured.id)


def test_the_bare_photo_of_what_was_sent_is_shown(house: House) -> None:
    sent = house.sent(WITHIN)
    assert house.inspections.may_see_photo(house.inspector, sent.photo or "")


def test_a_placing_on_an_earlier_photo_does_not_show_a_later_one(house: House) -> None:
    house.confirmed(OUTSIDE)
    later = house.sent(94.0)
    assert results_in(house, house.inspector, later.item_id) == [True, False]
    assert not house.inspections.may_see_annotated(house.inspector, later.annotated or "")


def test_the_performer_sees_all_of_his_own(house: House) -> None:
    sent = house.sent(WITHIN)
    assert results_in(house, house.mechanic, sent.item_id) == [True]
    assert house.inspections.may_see_annotated(house.mechanic, sent.annotated or "")


def test_hand_measurements_and_others_placings_are_hidden_with_the_result(house: House) -> None:
    sent = house.sent(WITHIN)
    house.by_hand(house.mechanic, sent.item_id, 89.0)
    house.placed(sent, WITHIN, house.inspector_2)
    before = house.inspections.item_story(house.inspector, sent.item_id)
    assert not any(isinstance(one, HandReading | BlindReading) for _, one in before.entries)
    house.placed(sent, WITHIN)
    after = house.inspections.item_story(house.inspector, sent.item_id)
    placed = [one.person_id for _, one in after.entries if isinstance(one, BlindReading)]
    assert placed == [house.inspector.id]
    assert any(isinstance(one, HandReading) for _, one in after.entries)


def test_ones_own_hand_measurement_is_never_hidden(house: House) -> None:
    sent = house.sent(WITHIN)
    house.by_hand(house.inspector, sent.item_id, 89.0)
    story = house.inspections.item_story(house.inspector, sent.item_id)
    assert [one.person_id for _, one in story.entries if isinstance(one, HandReading)] == [house.inspector.id]


def test_a_settled_items_story_tells_everything_in_time_order(house: House) -> None:
    refused = house.sent(refusal())
    signed = house.confirmed(WITHIN)
    story = house.inspections.item_story(house.inspector_2, refused.item_id)
    assert not story.withheld
    assert [type(one) for _, one in story.entries] == [Try, Try, BlindReading, Confirmation]
    assert story.entries[-1][1] == signed
    assert [at for at, _ in story.entries] == sorted(at for at, _ in story.entries)


def test_pictures_of_no_try_are_not_there(house: House) -> None:
    with pytest.raises(NotFound, match="no picture of this name"):
        house.inspections.may_see_photo(house.mechanic, "0" * 64)
    with pytest.raises(NotFound, match="no picture of this name"):
        house.inspections.may_see_annotated(house.mechanic, "0" * 64)


def test_the_archive_holds_what_is_settled_newest_first(house: House) -> None:
    house.sent(WITHIN)
    refused = house.sent(refusal(), house.supporting)
    assert [(row.try_, row.confirmation) for row in house.inspections.archive()] == [(refused, None)]
    house.by_hand(house.mechanic, refused.item_id, 89.0)
    house.by_hand(house.inspector, refused.item_id, 89.1)
    (row,) = house.inspections.archive()
    assert [hand.value_mm for hand in row.hands] == [89.0, 89.1]


def test_the_archive_tells_of_a_strut_measured_by_hand_alone(house: House) -> None:
    inspection = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    item = house.inspections.items(inspection.id)[0]
    house.by_hand(house.mechanic, item, 89.0)
    assert house.inspections.archive() == ()
    house.by_hand(house.inspector, item, 89.1)
    (row,) = house.inspections.archive()
    assert (row.try_, row.confirmation, len(row.hands)) == (None, None, 2)


def test_the_archive_shows_no_hand_measurement_to_who_has_yet_to_confirm(house: House) -> None:
    house.confirmed(OUTSIDE)
    sent = house.sent(94.0)
    house.by_hand(house.mechanic, sent.item_id, 94.0)
    (row,) = house.inspections.archive()
    assert row.hands == ()


def test_the_archive_is_asked_by_aircraft_leg_and_time(house: House) -> None:
    first = house.confirmed(WITHIN)
    second = house.confirmed(WITHIN, house.supporting)

    def ids(**asked: object) -> list[str]:
        rows = house.inspections.archive(ArchiveFilter(**asked))  # type: ignore[arg-type]
        return [row.confirmation.id for row in rows if row.confirmation]

    assert ids() == [second.id, first.id]
    assert ids(registration="ZZ-GWT", position="nose") == [first.id]
    assert ids(registration="ZZ-XXX") == []
    assert ids(since=second.signed_at) == [second.id]
    assert ids(until=first.signed_at) == [first.id]
