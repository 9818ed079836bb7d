"""The screens of a visit that follows a programme, as people press them."""

from collections.abc import Callable

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import ItemState, Person
from app.screens.visit_steps.condition import OPENED
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse, counted, open_round, programme
from tests.app.screens.looking import Open, address, labels, press, said, tick_all

Opened = Callable[..., RoundHouse]


@pytest.fixture
def round_of(house: House) -> Opened:
    return lambda *keys, **more: open_round(house, programme(*keys, **more))


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    return open_page("visit", person or opened.mechanic, visit=opened.visit.id, **query)


def type_into(app: AppTest, label: str, text: str) -> None:
    fields = [one for one in (*app.text_input, *app.text_area) if one.label.startswith(label)]
    assert fields, label
    fields[0].input(text)


def sign(app: AppTest, label: str, password: str = PASSWORD) -> AppTest:
    type_into(app, "Password of", password)
    return press(app, label)


def test_an_aircraft_that_follows_a_programme_leads_into_its_visit(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    app = press(open_page("round", opened.mechanic), "Go on with the visit")
    assert address(app, "visit") == opened.visit.id
    assert "0 of 1 items closed" in said(app)


def test_a_visit_is_opened_from_the_legs(open_page: Open, house: House) -> None:
    entry = house.inspections.enter_programme(None, programme("hoses"), "small.toml")
    house.inspections.follow(None, house.aircraft.id, entry.id)
    app = press(open_page("round", house.mechanic), "Open a visit")
    assert OPENED in labels(app)
    assert "Go round" not in labels(app)  # nothing is done before the card is read


def test_the_opening_card_is_stated_by_pressing_its_words_and_the_condition_follows(
    open_page: Open, house: House
) -> None:
    entry = house.inspections.enter_programme(None, programme("hoses"), "small.toml")
    house.inspections.follow(None, house.aircraft.id, entry.id)
    visit = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    app = open_page("visit", house.mechanic, visit=visit.id, step="condition")
    assert "Look round first." in said(app)
    assert not house.inspections.has_opened(house.mechanic, visit.id)
    press(app, OPENED)
    assert house.inspections.has_opened(house.mechanic, visit.id)
    assert "State this condition" in labels(app)
    assert not any(box.value for box in app.checkbox)


def test_a_condition_is_stated_line_by_line_with_its_records(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    app = go(open_page, opened, step="condition")
    app.radio[0].set_value("on_wheels").run()
    tick_all(app)
    type_into(app, "Load and fuel", "in the range, 90 l")
    press(app, "State this condition")
    assert 'role="alert"' in said(app)  # the slope was not told
    type_into(app, "Slope", "0.1 degree")
    press(app, "State this condition")
    now = opened.use.condition(opened.visit.id)
    assert now is not None and now.statements[0][2] == "in the range, 90 l"


def test_an_item_by_eye_is_one_tap_and_the_next_item_follows(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", "leaks")
    app = go(open_page, opened, item=opened.item("hoses").id)
    press(app, "Nothing wrong")
    assert address(app, "item") == opened.item("leaks").id
    assert "1 of 2 answered" in said(app)


def test_an_item_can_be_skipped_and_come_back_to(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", "leaks")
    app = go(open_page, opened, item=opened.item("hoses").id)
    press(app, "Skip, come back later")
    assert address(app, "item") == opened.item("leaks").id
    press(app, "Nothing wrong")
    assert address(app, "item") == opened.item("hoses").id


def test_a_wrong_condition_says_so_and_answers_nothing(open_page: Open, round_of: Opened) -> None:
    opened = round_of("locks")
    app = press(go(open_page, opened, item=opened.item("locks").id), "Nothing wrong")
    assert "is done swing, and the aircraft is stated on wheels" in said(app)
    assert opened.item("locks").state is ItemState.TO_DO


def test_a_fault_opens_a_discrepancy_from_its_form(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    app = go(open_page, opened, item=opened.item("hoses").id)
    type_into(app, "What is wrong", "rubbed at the clamp")
    type_into(app, "Where exactly", "lower clamp")
    press(app, "Open a discrepancy")
    (case,) = opened.use.cases(opened.visit.id)
    assert (case.discrepancy.text, case.discrepancy.place) == ("Hoses: rubbed at the clamp.", "lower clamp")


def test_a_gauge_is_read_on_its_form_and_an_overdue_one_refused(open_page: Open, round_of: Opened) -> None:
    from tests.app.rounds_house import LONG_AGO  # noqa: PLC0415 - only here

    opened = round_of("pressure")
    opened.gauge(LONG_AGO)
    app = go(open_page, opened, item=opened.item("pressure").id)
    item = opened.item("pressure").id
    app.selectbox(key=f"tool-{item}").select_index(0)
    app.radio(key=f"unit-{item}").set_value("psi")
    for label, text in (("Readings", "50 50.5"), ("At least", "45"), ("At most", "55")):
        type_into(app, label, text)
    press(app, "Enter this reading")
    assert "was due on 2024-04-30" in said(app)
    opened.gauge()
    app = go(open_page, opened, item=item)
    app.selectbox(key=f"tool-{item}").select_index(1)
    app.radio(key=f"unit-{item}").set_value("psi")
    for label, text in (("Readings", "50 50.5"), ("At least", "45"), ("At most", "55")):
        type_into(app, label, text)
    press(app, "Enter this reading")
    said(app)
    assert opened.use.stop(opened.mechanic, item).answered


@pytest.mark.parametrize(("typed", "ok"), [("fifty", False), ("", False), ("50,5", False)])
def test_a_reading_that_is_no_number_is_not_entered(
    open_page: Open, round_of: Opened, typed: str, ok: bool
) -> None:
    opened = round_of("pressure")
    opened.gauge()
    item = opened.item("pressure").id
    app = go(open_page, opened, item=item)
    app.selectbox(key=f"tool-{item}").select_index(0)
    app.radio(key=f"unit-{item}").set_value("psi")
    for label, text in (("Readings", typed), ("At least", "45"), ("At most", "55")):
        type_into(app, label, text)
    press(app, "Enter this reading")
    assert 'role="alert"' in said(app)
    assert opened.use.stop(opened.mechanic, item).answered is ok


def test_a_count_and_broken_wires_are_entered_on_their_forms(open_page: Open, round_of: Opened) -> None:
    opened = round_of("bolts", "wires")
    bolts, wires = opened.item("bolts").id, opened.item("wires").id
    app = go(open_page, opened, item=bolts)
    app.number_input(key=f"number-{bolts}").set_value(6)
    app.number_input(key=f"least-{bolts}").set_value(6)
    press(app, "Enter this count")
    assert address(app, "item") == wires
    type_into(app, "Places of broken wires", "100 105c 300")
    app.number_input(key=f"inch-{wires}").set_value(6)
    app.number_input(key=f"critical-{wires}").set_value(1)
    press(app, "Enter these wires")
    said(app)
    mine = opened.use.stop(opened.mechanic, wires).mine
    assert mine is not None and mine.reading is not None
    assert (mine.reading["worst_inch"], mine.reading["critical"]) == (2, 1)


def test_a_batch_is_shown_item_by_item_and_signed(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", "bolts")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    opened.use.answer(opened.mechanic, opened.item("bolts").id, counted(6))
    app = go(open_page, opened, step="sign")
    text = said(app)
    assert "Hoses" in text and "counted 6, at least 6" in text
    sign(app, "Sign 2 answers", "a wrong one")
    assert "not your password" in said(app)
    sign(app, "Sign 2 answers")
    assert "Nothing waits for your signature." in said(app)
    assert opened.item("bolts").state is ItemState.WAITING


def test_the_second_person_sees_nothing_of_the_first_answer_before_his_own(
    open_page: Open, round_of: Opened
) -> None:
    opened = round_of("bolts")
    opened.answer("bolts", counted(6))
    app = go(open_page, opened, opened.inspector, look=opened.item("bolts").id)
    assert "counted 6" not in said(app)
    item = go(open_page, opened, opened.inspector, item=opened.item("bolts").id)
    assert "counted 6" not in said(item)
    key = opened.item("bolts").id
    app.number_input(key=f"number-{key}").set_value(6)
    app.number_input(key=f"least-{key}").set_value(6)
    press(app, "Enter this count")
    text = said(app)
    assert "First answer: Nothing wrong, counted 6, at least 6. Both agree: the item closes." in text
    sign(app, "Sign 1 second looks")
    assert opened.item("bolts").state is ItemState.CLOSED


def test_ones_own_work_is_not_offered_for_a_second_look_and_refused(
    open_page: Open, round_of: Opened
) -> None:
    opened = round_of("hoses")
    both = opened.house.inspector_2
    opened.answer("hoses", person=both)
    assert "Nothing waits for you." in said(go(open_page, opened, both, step="second"))
    app = press(go(open_page, opened, both, look=opened.item("hoses").id), "Nothing wrong")
    assert "Nobody looks a second time at his own work" in said(app)


def test_an_action_is_signed_and_leads_to_its_reinspection(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    app = go(open_page, opened, case=case.discrepancy.id)
    app.selectbox[0].select_index(2).run()
    type_into(app, "What was done", "clamp moved")
    type_into(app, "Approved data", "manual 32-10")
    type_into(app, f"Password of {opened.mechanic.name}", PASSWORD)
    press(app, "Sign this action")
    assert "To its re-inspection" in labels(app)
    press(app, "To its re-inspection")
    assert "Re-inspection: Hoses" in said(app)


def test_a_deferral_is_offered_to_a_signatory_alone(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    assert "Sign this deferral" not in labels(go(open_page, opened, case=case.discrepancy.id))
    app = go(open_page, opened, opened.signatory, case=case.discrepancy.id)
    for label, text in (("Reference", "list 32-1"), ("Category", "C"), ("Placard", "at the handle")):
        type_into(app, label, text)
    app.number_input[0].set_value(6000)
    fields = [one for one in app.text_input if "this deferral" in one.label]
    fields[0].input(PASSWORD)
    press(app, "Sign this deferral")
    assert "until 6000 landings" in said(app)


def test_a_crack_goes_step_by_step_and_offers_no_deferral(open_page: Open, round_of: Opened) -> None:
    opened = round_of("cracks")
    opened.answer("cracks", FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    app = go(open_page, opened, opened.signatory, case=case.discrepancy.id)
    assert "Sign this deferral" not in labels(app)
    assert "Sign this action" not in labels(app)
    type_into(app, "Tag", "T-1")
    press(app, "This is done")
    assert "Mark beside it" in said(app)


def test_what_is_out_and_opened_is_entered_and_closed(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    app = go(open_page, opened, step="open")
    type_into(app, "Name or number", "3")
    press(app, "Count out")
    assert "1 of 1 out" in said(app)
    type_into(app, "Where exactly", "axle nut, left")
    press(app, "It is open now")
    press(app, "It is closed")
    (number,) = (one for one in app.number_input if one.label == "In again, of all")
    number.set_value(1)
    press(app, "Count in")
    assert "all in" in said(app)
    opened_now, out = opened.use.opened_and_out(opened.visit.id)
    assert opened_now[0].closed_at is not None and out[0].back == 1


def test_a_shift_is_handed_over_by_two_signatures(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    app = go(open_page, opened, step="handover")
    app.selectbox(key="taker").set_value(opened.mechanic_2).run()
    sign(app, "Hand over to Mechanic 2")
    said(app)
    app = go(open_page, opened, opened.mechanic_2, step="handover")
    assert "hands this over to you" in said(app)
    sign(app, "Take it over")
    assert opened.use.pending_handover(opened.visit.id) is None


def test_what_is_missing_is_named_and_only_a_signatory_signs_off(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    text = said(go(open_page, opened, step="off"))
    assert "Hoses: not inspected" in text
    assert "An authorised signatory signs the visit off." in text
    for leg in (opened.house.primary, opened.house.supporting):
        opened.use.answer(opened.mechanic, opened.item("hoses", leg.id).id, GOOD)
    opened.sign_work(opened.mechanic)
    for leg in (opened.house.primary, opened.house.supporting):
        opened.look(opened.item("hoses", leg.id))
    app = go(open_page, opened, opened.signatory, step="off")
    for key, value in (("hours", 4210.5), ("cycles", 6100), ("landings", 5890)):
        app.number_input(key=key).set_value(value)
    app.run()
    text = said(app)
    assert "Complete: every item answered by two people" in text
    assert "It does not return the aircraft to service" in text
    sign(app, "Sign the work record")
    assert "Signed off" in said(app)
    assert opened.use.inspections()[0].closed_at is not None
    # Nothing in it is written over any more.
    assert labels(go(open_page, opened, step="open")) == ["Correct an entry"]


@pytest.mark.parametrize("step", ["", "sign", "second", "cases", "open", "handover", "off", "condition"])
def test_every_step_is_drawn_for_everybody(open_page: Open, round_of: Opened, step: str) -> None:
    opened = round_of("hoses", "leaks", strut=True)
    opened.answer("leaks", FAULT)
    for person in (opened.mechanic, opened.inspector, opened.signatory, opened.administrator, opened.trainee):
        said(go(open_page, opened, person, step=step))


def test_a_visit_that_is_not_there_leads_back(open_page: Open, house: House) -> None:
    assert "Which visit?" in said(open_page("visit", house.mechanic, visit="0" * 32))
