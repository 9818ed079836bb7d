import re

import pytest

from app.inspection import ItemState, Outcome
from app.screens.parts.words import OUTCOMES
from tests.app.records_house import OUTSIDE, PASSWORD, UNDECIDED, WITHIN, House, refusal
from tests.app.screens.looking import Open, labels, press, said, type_in
from vision import notes

VALUE = re.compile(r"\d mm ±|88\.9|97\.0|Within|Outside|Undecided", re.IGNORECASE)


def test_the_queue_is_in_order_of_time_and_holds_no_value_and_no_verdict(
    open_page: Open, house: House
) -> None:
    first, second = house.sent(OUTSIDE, house.primary), house.sent(WITHIN, house.supporting)
    app = open_page("queue", house.inspector)
    text = said(app)
    keys = [str(one.key) for one in app.button if one.label == "Read the photo"]
    assert keys == [f"read-{first.id}", f"read-{second.id}"]
    assert not VALUE.search(text)


def test_a_mechanic_is_told_who_confirms(open_page: Open, house: House) -> None:
    house.sent(WITHIN)
    app = open_page("queue", house.mechanic)
    assert "An inspector reads these photos" in said(app)
    assert labels(app) == []


def test_the_bare_photo_comes_without_anything_that_the_program_read(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    app = open_page("confirm", house.inspector, **{"try": sent.id})
    text = said(app)
    assert "Read the bare photo" in text
    assert not VALUE.search(text)
    assert "/annotated/" not in text
    assert app.text_input.len == 0


def test_there_is_nothing_to_sign_with_before_the_own_reading(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    app = open_page("confirm", house.inspector, **{"try": sent.id})
    assert "Sign" not in labels(app)
    assert app.text_input.len == 0


@pytest.mark.parametrize("who", ["mechanic", "inspector_2"])
def test_nobody_confirms_his_own_work_on_the_screen(open_page: Open, house: House, who: str) -> None:
    person = getattr(house, who)
    measured = house.measured(WITHIN, person=person)
    house.inspections.send(person, measured.id)
    text = said(open_page("confirm", person, **{"try": measured.id}))
    assert "another inspector" in text if person.is_inspector else "Only an inspector confirms" in text
    assert "Read the bare photo" not in text


def test_after_the_own_reading_all_readings_stand_side_by_side(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, 88.7)
    text = said(open_page("confirm", house.inspector, **{"try": sent.id}))
    for words in ("88.9 mm ± 0.4 mm", "88.7 mm ± 0.6 mm", "Agree", OUTCOMES[Outcome.WITHIN_CLOSED]):
        assert words in text
    assert notes.EXTENSION_ONLY.text in text


def test_a_disagreement_says_that_two_people_measure_by_hand(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, 90.5)
    text = said(open_page("confirm", house.inspector, **{"try": sent.id}))
    assert "Disagree" in text
    assert OUTCOMES[Outcome.HAND_WANTED] in text


def test_another_inspector_still_has_to_read_the_bare_photo(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, 88.7)
    text = said(open_page("confirm", house.inspector_2, **{"try": sent.id}))
    assert not VALUE.search(text)


@pytest.mark.parametrize(
    ("value", "outcome", "state"),
    [
        (WITHIN, Outcome.WITHIN_CLOSED, ItemState.CLOSED),
        (OUTSIDE, Outcome.OUTSIDE_DISCREPANCY, ItemState.DISCREPANCY),
        (UNDECIDED, Outcome.HAND_WANTED, ItemState.HAND_WANTED),
    ],
)
def test_the_signature_does_what_the_page_said(
    open_page: Open, house: House, value: float, outcome: Outcome, state: ItemState
) -> None:
    sent = house.sent(value)
    house.placed(sent, value)
    app = open_page("confirm", house.inspector, **{"try": sent.id})
    assert OUTCOMES[outcome] in said(app)
    press(type_in(app, sign_password=PASSWORD), "Sign")
    assert "Signed by" in said(app)
    assert house.item(sent.item_id).state is state


def test_a_wrong_password_signs_nothing(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, WITHIN)
    app = open_page("confirm", house.inspector, **{"try": sent.id})
    press(type_in(app, sign_password="not mine"), "Sign")
    assert "That is not your password" in said(app)
    assert house.item(sent.item_id).state is ItemState.WAITING


def test_who_comes_second_is_told_who_signed(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, WITHIN, house.inspector_2)
    app = open_page("confirm", house.inspector_2, **{"try": sent.id})
    house.sign(house.inspector, house.placed(sent, WITHIN))
    press(type_in(app, sign_password=PASSWORD), "Sign")
    assert "Inspector confirmed this reading" in said(app)


def test_what_changed_while_it_was_looked_at_is_not_signed_blindly(open_page: Open, house: House) -> None:
    sent = house.sent(WITHIN)
    house.placed(sent, WITHIN)
    app = open_page("confirm", house.inspector, **{"try": sent.id})
    house.by_hand(house.mechanic, sent.item_id, 91.0)
    press(type_in(app, sign_password=PASSWORD), "Sign")
    assert house.item(sent.item_id).state is ItemState.WAITING
    assert "91.0 mm" in said(app)
    assert "The readings have changed since you looked" in said(app)
    press(type_in(app, sign_password=PASSWORD), "Sign")
    assert house.item(sent.item_id).state is ItemState.HAND_WANTED


def test_a_signed_confirmation_is_still_shown_after_a_reload(open_page: Open, house: House) -> None:
    signed = house.confirmed(WITHIN)
    text = said(open_page("confirm", house.inspector, **{"try": signed.try_id}))
    assert "Signed by" in text
    assert "All readings side by side" in text


def test_earlier_tries_stand_beside_the_one_that_is_signed(open_page: Open, house: House) -> None:
    house.measured(OUTSIDE)
    sent = house.sent(WITHIN)
    house.placed(sent, WITHIN)
    text = said(open_page("confirm", house.inspector, **{"try": sent.id}))
    assert "Other tries at this item (1)" in text
    assert "97.0 mm ± 0.4 mm" in text
    assert OUTCOMES[Outcome.HAND_WANTED] in text


def test_a_refusal_that_was_sent_is_not_confirmed(open_page: Open, house: House) -> None:
    settled = house.inspections.send(house.mechanic, house.measured(refusal()).id)
    text = said(open_page("confirm", house.inspector, **{"try": settled.id}))
    assert "does not wait for a confirmation" in text
