import re

import pytest

from app.inspection import ItemState, Try, TryState
from app.screens.parts import statements
from app.screens.parts.reading import SUPPORTING
from tests.app.records_house import OUTSIDE, STATED, UNDECIDED, WITHIN, House, refusal
from tests.app.screens.looking import Open, address, labels, press, said, tick_all, type_in
from vision import notes

OIL = notes.EXTENSION_ONLY.text


def tries(house: House) -> list[Try]:
    found = house.inspections.inspections()
    stories = [
        house.inspections.item_story(house.mechanic, item.id)
        for one in found
        for item in house.inspections.items(one.id)
    ]
    return [entry for story in stories for _, entry in story.entries if isinstance(entry, Try)]


def test_without_a_session_nothing_but_the_way_to_sign_in_is_shown(open_page: Open) -> None:
    text = said(open_page("round", None))
    assert "The session has ended" in text
    assert "/sign-in" in text
    assert "ZZ-GWT" not in text


def test_the_legs_are_shown_with_what_their_photo_readings_may_do(open_page: Open, house: House) -> None:
    text = said(open_page("round", house.mechanic))
    assert "Left main" in text and "Nose" in text
    assert "Supporting: a hand measurement stands beside the photo reading" in text
    assert "Photo readings of this leg may stand by themselves" in text


def test_pressing_photograph_leads_to_the_legs_statements(open_page: Open, house: House) -> None:
    app = open_page("round", house.mechanic)
    app.button(key=f"photograph-{house.primary.id}").click().run()
    assert address(app, "leg") == house.primary.id
    assert "Before the photo" in said(app)


def test_a_leg_that_waits_for_confirmation_takes_no_other_photo(open_page: Open, house: House) -> None:
    house.sent(WITHIN)
    app = open_page("round", house.mechanic)
    assert f"photograph-{house.primary.id}" not in [one.key for one in app.button]
    assert f"photograph-{house.supporting.id}" in [one.key for one in app.button]


def test_the_cautions_and_every_condition_are_asked_for_before_the_first_photo(
    open_page: Open, house: House
) -> None:
    app = open_page("round", house.mechanic, leg=house.primary.id)
    text = said(app)
    for line in statements.BEFORE_FIRST_PHOTO:
        assert line in text
    asked = [box.label for box in app.checkbox]
    assert asked == [statements.SURROUNDINGS, *statements.CONDITION, statements.CARD_PLACED]
    assert not any(box.value for box in app.checkbox)


def test_nothing_begins_while_a_statement_is_missing(open_page: Open, house: House) -> None:
    app = tick_all(open_page("round", house.mechanic, leg=house.primary.id))
    app.checkbox[1].uncheck()
    press(app, "Go on to the photo")
    text = said(app)
    assert f"Not stated yet: {statements.CONDITION[0].rstrip('.')}. Tick" in text.replace("&#x27;", "'")
    assert tries(house) == []


def test_a_begun_try_has_the_statements_and_its_id_in_the_address(open_page: Open, house: House) -> None:
    app = press(tick_all(open_page("round", house.mechanic, leg=house.primary.id)), "Go on to the photo")
    (begun,) = tries(house)
    assert address(app, "draft") == begun.id
    assert begun.statements == (statements.SURROUNDINGS, *statements.CONDITION, statements.CARD_PLACED)
    assert "Photograph the strut" in said(app)


def test_the_cautions_are_shown_once_a_visit_and_not_before_every_photo(
    open_page: Open, house: House
) -> None:
    press(tick_all(open_page("round", house.mechanic, leg=house.primary.id)), "Go on to the photo")
    other = open_page("round", house.mechanic, leg=house.supporting.id)
    assert statements.BEFORE_FIRST_PHOTO[0] not in said(other)
    assert statements.CONDITION[1] in [box.label for box in other.checkbox]


def test_a_further_photo_of_the_same_leg_states_the_condition_anew_in_one(
    open_page: Open, house: House
) -> None:
    press(tick_all(open_page("round", house.mechanic, leg=house.primary.id)), "Go on to the photo")
    again = open_page("round", house.mechanic, leg=house.primary.id)
    assert [box.label.startswith(statements.UNCHANGED) for box in again.checkbox] == [True, False]
    press(tick_all(again), "Go on to the photo")
    assert set(statements.CONDITION) <= set(tries(house)[1].statements)


def test_what_was_told_beside_the_photo_is_kept_with_the_try(open_page: Open, house: House) -> None:
    app = tick_all(open_page("round", house.mechanic, leg=house.primary.id))
    app.text_input(key="bar").input("200.2 mm")
    app.text_input(key="behind").input("1/2 in")
    app.text_input(key="doubt").input("1 mm")
    press(app, "Go on to the photo")
    assert tries(house)[0].options == {"check_bar_mm": [200.2], "stand_off_mm": 12.7, "stand_off_u_mm": 1.0}


@pytest.mark.parametrize("typed", ["200.2", "35/16 in", "two hundred mm", "-3 mm", "200,2 mm"])
def test_a_length_that_could_be_another_begins_nothing(open_page: Open, house: House, typed: str) -> None:
    app = tick_all(open_page("round", house.mechanic, leg=house.primary.id))
    app.text_input(key="bar").input(typed)
    press(app, "Go on to the photo")
    assert 'role="alert"' in said(app)
    assert tries(house) == []


def test_the_own_rule_reading_is_entered_before_the_photo(open_page: Open, house: House) -> None:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    app = type_in(
        open_page("round", house.mechanic, draft=begun.id), rule_value="3 1/2 in", rule_doubt="0.5 mm"
    )
    press(app, "Enter this reading")
    kept = house.inspections.try_of(house.mechanic, begun.id)
    assert (kept.own_hand_mm, kept.own_hand_u_mm) == (pytest.approx(88.9), 0.5)
    assert "88.9 mm ± 0.5 mm" in said(app)


def test_it_is_not_offered_once_an_answer_of_a_photo_was_shown(open_page: Open, house: House) -> None:
    house.measured(refusal())
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    assert "Enter this reading" not in labels(open_page("round", house.mechanic, draft=begun.id))


def test_while_it_is_measured_the_page_says_that_the_photo_is_kept(open_page: Open, house: House) -> None:
    stored = house.stored()
    house.inspections.measuring(stored.id, "measuring the strut")
    text = said(open_page("round", house.mechanic, draft=stored.id))
    assert "The photo is stored" in text
    assert "Measuring the strut" in text


def test_a_photo_that_waits_is_told_how_many_go_before_it(open_page: Open, house: House) -> None:
    stored = house.stored()
    house.jobs.places[stored.id] = 3
    assert "3 before yours" in said(open_page("round", house.mechanic, draft=stored.id))


def test_a_photo_that_is_being_measured_shows_no_value(open_page: Open, house: House) -> None:
    stored = house.stored()
    text = said(open_page("round", house.mechanic, draft=stored.id))
    assert not re.search(r"\d mm ±", text)


def test_a_reading_is_shown_with_what_it_does_not_say(open_page: Open, house: House) -> None:
    text = said(open_page("round", house.mechanic, draft=house.measured(WITHIN, house.supporting).id))
    for words in ("88.9 mm ± 0.4 mm", "3.500 in ± 0.016 in", "Within limits", OIL, SUPPORTING):
        assert words in text
    assert "/annotated/" in text


@pytest.mark.parametrize(("value", "word"), [(OUTSIDE, "Outside limits"), (UNDECIDED, "Undecided")])
def test_each_verdict_has_its_word(open_page: Open, house: House, value: float, word: str) -> None:
    text = said(open_page("round", house.mechanic, draft=house.measured(value).id))
    assert word in text
    assert "Within limits" not in text


def test_a_refusal_is_shown_with_its_remedy_and_the_way_out_by_hand(open_page: Open, house: House) -> None:
    measured = house.measured(refusal(notes.WRONG_LEG))
    app = open_page("round", house.mechanic, draft=measured.id)
    text = said(app)
    assert notes.WRONG_LEG.reason in text
    assert notes.WRONG_LEG.advice in text
    assert "Measure by hand" in text
    assert labels(app) == ["Photograph again", "Leave it at no value: ask for a hand measurement"]


def test_a_file_that_is_no_photo_says_so(open_page: Open, house: House) -> None:
    stored = house.stored()
    house.inspections.measuring_failed(stored.id, "The file is no photo: send the original.")
    app = open_page("round", house.mechanic, draft=stored.id)
    assert "The file is no photo: send the original." in said(app)
    assert labels(app) == ["Photograph again"]


def test_sending_a_reading_puts_it_into_the_queue(open_page: Open, house: House) -> None:
    measured = house.measured(WITHIN)
    app = press(open_page("round", house.mechanic, draft=measured.id), "Send to be confirmed")
    assert "A second person now reads the bare photo" in said(app)
    assert [one.try_id for one in house.inspections.queue(house.inspector)] == [measured.id]


def test_leaving_it_at_a_refusal_asks_for_hand_measurements(open_page: Open, house: House) -> None:
    measured = house.measured(refusal())
    app = open_page("round", house.mechanic, draft=measured.id)
    press(app, "Leave it at no value: ask for a hand measurement")
    assert "A hand measurement is asked for" in said(app)
    assert house.item(measured.item_id).state is ItemState.HAND_WANTED


def test_another_persons_draft_is_not_shown(open_page: Open, house: House) -> None:
    measured = house.measured(WITHIN)
    text = said(open_page("round", house.inspector, draft=measured.id))
    assert "This try belongs to another person" in text
    assert "88.9" not in text


def test_a_draft_that_does_not_exist_is_said_to_be_missing(open_page: Open, house: House) -> None:
    text = said(open_page("round", house.mechanic, draft="0" * 32))
    assert 'role="alert"' in text


def test_a_lost_address_is_found_again_on_the_leg(open_page: Open, house: House) -> None:
    house.measured(WITHIN)
    text = said(open_page("round", house.mechanic, leg=house.primary.id))
    assert "Go on with your photo of" in text


def test_an_inspection_is_closed_from_its_page(open_page: Open, house: House) -> None:
    signed = house.confirmed(WITHIN)
    app = press(open_page("round", house.mechanic), "Close this inspection")
    said(app)
    assert house.inspections.inspections()[0].closed_at is not None
    assert house.inspections.try_of(house.mechanic, signed.try_id).state is TryState.SETTLED


def test_an_inspection_with_something_waiting_says_what_and_stays_open(open_page: Open, house: House) -> None:
    house.sent(WITHIN)
    app = press(open_page("round", house.mechanic), "Close this inspection")
    assert "a reading waits for its confirmation" in said(app)
    assert house.inspections.inspections()[0].closed_at is None
