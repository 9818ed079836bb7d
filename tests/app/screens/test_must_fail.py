"""What must not go through on the screens of a whole inspection; the list of all of it is in the rounds' tests."""

from collections.abc import Callable
from datetime import timedelta
from html import escape

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import Person
from app.inspection.rounds.model import OutKind
from app.inspection.rounds.photo_age import QUESTIONED
from tests.app.inspection.rounds.test_photo_age import photo
from tests.app.records_house import PASSWORD, STATED, WITHIN, House, reading
from tests.app.rounds_house import FAULT, GOOD, LONG_AGO, RoundHouse, open_round, programme
from tests.app.screens.looking import Open, labels, press, said, tick_all

Opened = Callable[..., RoundHouse]


@pytest.fixture
def round_of(house: House) -> Opened:
    return lambda *keys, **more: open_round(house, programme(*keys, **more))


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    return open_page("visit", person or opened.mechanic, visit=opened.visit.id, **query)


def test_an_open_discrepancy_is_named_and_leaves_nothing_to_sign(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    app = go(open_page, opened, opened.signatory, step="off")
    assert "rubbed through to the braid" in said(app)
    assert "Sign the work record" not in labels(app)


def test_an_open_count_is_named_before_the_sign_off_and_blocks_the_swing(
    open_page: Open, round_of: Opened
) -> None:
    opened = round_of("hoses", "locks")
    opened.use.count_out(opened.mechanic, opened.visit.id, OutKind.CARD, "3", 1)
    app = go(open_page, opened, opened.signatory, step="off")
    assert "1 of 1 card 3" in said(app)
    assert "Sign the work record" not in labels(app)
    app = go(open_page, opened, step="condition")
    app.radio[0].set_value("swing").run()
    tick_all(app)
    (pins,) = (one for one in app.text_input if one.label.startswith("Number of pins"))
    pins.input("2")
    press(app, "State this condition")
    assert "Not yet: out: 1 of 1 card 3" in said(app)
    now = opened.use.condition(opened.visit.id)
    assert now is not None and now.what == "on_wheels"


def test_an_overdue_authorisation_looks_at_nothing(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    opened.house.clock.at += timedelta(days=400)
    app = press(go(open_page, opened, opened.inspector, look=opened.item("hoses").id), "Nothing wrong")
    assert "no authorisation as inspector" in said(app)
    assert opened.use.looks_to_sign(opened.inspector, opened.visit.id).lines == ()


def test_an_overdue_card_photographs_nothing(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", strut=True)
    opened.use.enter_card(opened.mechanic, "strip", "3", (200.2, 30.0), "steel rule 17", LONG_AGO)
    app = open_page("round", opened.mechanic, leg=opened.house.primary.id)
    tick_all(app)
    app.selectbox(key="card-copy").select_index(0)
    press(app, "Go on to the photo")
    assert f"Card 3 was due on {LONG_AGO}" in said(app)
    assert "draft" not in app.query_params


def test_a_stale_photo_is_not_sent_before_its_person_has_said_why(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", strut=True)
    use = opened.use
    begun = use.begin_try(opened.mechanic, opened.house.primary.id, STATED)
    to_come = photo(opened.house.clock.at + timedelta(days=1))
    kept = use.photo_arrived(opened.mechanic, begun.id, to_come)
    use.measured(kept.id, reading(WITHIN))
    app = open_page("round", opened.mechanic, draft=kept.id)
    assert "still to come" in said(app)
    assert "Send to be confirmed" not in labels(app)
    press(app, "State this reason")
    assert "role=" in said(app) and "Send to be confirmed" not in labels(app)
    (why,) = (one for one in app.text_input if one.label.startswith("Why it shows"))
    why.input("the phone's clock is a day fast")
    press(app, "State this reason")
    press(app, "Send to be confirmed")
    assert "Sent" in said(app)
    # The second person reads question and reason before he reads the photo.
    bare = said(open_page("confirm", opened.inspector, **{"try": kept.id}))
    assert escape(QUESTIONED) in bare and "the phone&#x27;s clock is a day fast" in bare


def test_two_at_once_leave_one_signature(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses")
    for person in (opened.inspector, opened.house.inspector_2):
        opened.use.look(person, opened.item("hoses").id, GOOD)
    late = go(open_page, opened, opened.house.inspector_2, step="second")
    (field,) = (one for one in late.text_input if one.label.startswith("Password of"))
    field.input(PASSWORD)
    # Meanwhile the other one signs at his own screen.
    seen = opened.use.looks_to_sign(opened.inspector, opened.visit.id).record_hash
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, seen)
    press(late, "Sign 1 second looks")
    assert "Nothing waits for you." in said(late)
    record = opened.use.record(opened.visit.id)
    signed = [one["person_id"] for one in record["signatures"] if one["meaning"] == "second_look"]
    assert signed == [opened.inspector.id]


def test_a_signature_is_not_given_to_what_changed_since_it_was_shown(
    open_page: Open, round_of: Opened
) -> None:
    opened = round_of("hoses", "leaks")
    opened.use.answer(opened.mechanic, opened.item("hoses").id, GOOD)
    app = go(open_page, opened, step="sign")
    (field,) = (one for one in app.text_input if one.label.startswith("Password of"))
    field.input(PASSWORD)
    # Meanwhile, on the same person's other phone.
    mine = opened.use.stop(opened.mechanic, opened.item("hoses").id).mine
    opened.use.answer(
        opened.mechanic, opened.item("hoses").id, FAULT, corrects=mine.id, reason="looked again"
    )
    press(app, "Sign 1 answers")
    assert "rubbed through to the braid" in said(app)  # what it is now stands there, with a field of its own
    batch = opened.use.to_sign(opened.mechanic, opened.visit.id)
    assert len(batch.lines) == 1
    assert [one.value for one in app.text_input if one.label.startswith("Password of")] in ([""], [None])


@pytest.mark.parametrize("step", ["sign", "second", "off", "handover", "cases"])
def test_an_administrator_is_offered_nothing_to_sign(open_page: Open, round_of: Opened, step: str) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    app = go(open_page, opened, opened.administrator, step=step)
    said(app)
    assert not [one.label for one in app.text_input if one.label.startswith("Password of")]


def test_what_was_outside_is_not_answered_again_without_an_action(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses")
    opened.answer("hoses", FAULT)
    app = go(open_page, opened, item=opened.item("hoses").id)
    assert "Something was found wrong here" in said(app)
    assert "Nothing wrong" not in labels(app)


def test_another_legs_photo_gives_no_reading_to_be_sent(open_page: Open, round_of: Opened) -> None:
    from tests.app.records_house import refusal  # noqa: PLC0415 - only here
    from vision import notes  # noqa: PLC0415 - only here

    opened = round_of("hoses", strut=True)
    begun = opened.use.begin_try(opened.mechanic, opened.house.primary.id, STATED)
    kept = opened.use.photo_arrived(opened.mechanic, begun.id, photo(opened.house.clock.at))
    opened.use.measured(kept.id, refusal(notes.WRONG_LEG))
    app = open_page("round", opened.mechanic, draft=kept.id)
    assert notes.WRONG_LEG.advice in said(app)
    assert "Send to be confirmed" not in labels(app)
