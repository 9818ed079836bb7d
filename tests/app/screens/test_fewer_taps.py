"""What saves taps on a round takes nothing away: undo, what is set as last time, what was stated before."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import Person
from app.inspection.rounds.model import Finding
from app.programme import ItemCondition
from app.screens.parts import statements as stated
from app.screens.round_steps.condition import STILL_HOLDS
from app.screens.visit_steps.just_answered import MISTAP
from tests.app.inspection.rounds.test_photo_age import photo
from tests.app.records_house import PASSWORD, WITHIN, House, reading
from tests.app.rounds_house import GOOD, RoundHouse, open_round, programme
from tests.app.screens.looking import Open, address, labels, press, said, tick_all, type_in

Opened = Callable[..., RoundHouse]
UNDO = "Undo: answer it anew"
TOLD = {"load": "in the range", "level": "0.1 degree", "settled": "", "brakes_and_chocks": ""}


@pytest.fixture
def round_of(house: House) -> Opened:
    return lambda *keys, **more: open_round(house, programme(*keys, **more))


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    return open_page("visit", person or opened.mechanic, visit=opened.visit.id, **query)


def test_a_mistaken_tap_is_named_above_the_next_item_and_taken_back(
    open_page: Open, round_of: Opened
) -> None:
    opened = round_of("hoses", "leaks", "lines")
    hoses = opened.item("hoses").id
    app = press(go(open_page, opened, item=hoses), "Nothing wrong")
    assert "Answered: Hoses." in said(app)
    press(app, UNDO)
    assert address(app, "item") == hoses
    assert [one.value for one in app.text_input if one.label == "Why it is corrected"] == [MISTAP]
    type_in(app, absent_text="the leg has none")
    press(app, "Not fitted")
    assert address(app, "item") == opened.item("leaks").id  # back where the round stood
    now = opened.use.stop(opened.mechanic, hoses).mine
    assert now is not None and (now.finding, now.reason) == (Finding.NOT_FITTED, MISTAP)
    assert now.supersedes is not None  # the first answer stays on the record


def test_what_is_signed_is_not_undone_by_a_tap(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", "leaks")
    leaks, hoses = opened.item("leaks").id, opened.item("hoses").id
    opened.use.answer(opened.mechanic, hoses, GOOD)
    assert UNDO in [one.label for one in go(open_page, opened, item=leaks, after=hoses).button]
    opened.sign_work(opened.mechanic)
    app = go(open_page, opened, item=leaks, after=hoses)
    assert "Answered: Hoses." in said(app) and UNDO not in [one.label for one in app.button]


def test_another_person_s_answer_is_not_shown_above_an_item(open_page: Open, round_of: Opened) -> None:
    opened = round_of("hoses", "leaks")
    opened.answer("hoses")
    opened.opened_by(opened.inspector)
    app = go(open_page, opened, opened.inspector, item=opened.item("leaks").id, after=opened.item("hoses").id)
    assert "Answered: Hoses." not in said(app)


def test_a_gauge_stands_as_last_time_and_its_reading_is_empty(open_page: Open, round_of: Opened) -> None:
    opened = round_of("pressure")
    tools = [opened.gauge(), opened.gauge(opened.house.clock.at.date() + timedelta(days=90))]
    item = opened.item("pressure", opened.house.supporting.id).id
    fresh = go(open_page, opened, item=item)
    assert fresh.selectbox(key=f"tool-{item}").value is None
    assert fresh.radio(key=f"unit-{item}").value is None
    opened.answer("pressure", opened.pressed(50.0, tools[1]))
    app = go(open_page, opened, item=item)
    assert app.selectbox(key=f"tool-{item}").value.id == tools[1].id
    assert app.radio(key=f"unit-{item}").value == "psi"
    assert "Look at the number" in said(app) and f"due {tools[1].due}" in said(app) + str(
        app.selectbox(key=f"tool-{item}").options
    )
    assert app.text_input(key=f"values-{item}").value == ""
    opened.house.clock.at += timedelta(days=100)
    overdue = go(open_page, opened, item=item)  # the one of last time has run out
    assert overdue.selectbox(key=f"tool-{item}").value is None


def strut_visit(house: House) -> str:
    """A visit whose condition is stated by the mechanic, in the supplied programme's statements."""
    toml = programme("hoses", strut=True).replace('"first"', f'"{stated.FIRST_PHOTO}"')
    brakes = '[[condition.statement]]\nkey = "brakes_and_chocks"\ntext = "Brakes and chocks."\n'
    toml = toml.replace('[[condition]]\nkey = "swing"', f'{brakes}[[condition]]\nkey = "swing"')
    entry = house.inspections.enter_programme(None, toml, "small.toml")
    house.inspections.follow(None, house.aircraft.id, entry.id)
    for leg in house.inspections.legs(house.aircraft.id):
        house.inspections.answer_features(None, leg.id, {"cables": "none"})
    visit = house.inspections.open_inspection(house.mechanic, house.aircraft.id)
    house.inspections.state_opening(house.mechanic, visit.id)
    house.inspections.state_condition(house.mechanic, visit.id, ItemCondition.ON_WHEELS, TOLD)
    return visit.id


def test_what_was_stated_of_the_aircraft_is_not_ticked_again_for_the_strut_s_photo(
    open_page: Open, house: House
) -> None:
    visit = strut_visit(house)
    use = house.inspections
    stops = use.walk(house.mechanic, visit, house.primary.id).stops
    (strut,) = (one.item.id for one in stops if one.item.key == "strut_extension")
    app = open_page("visit", house.mechanic, visit=visit, item=strut)
    assert [box.label for box in app.checkbox if box.label != "A whole strand is broken"] == [
        stated.CARD_PLACED
    ]
    assert all(line in said(app) for line in stated.CONDITION[1:])  # they are there to be read
    press(app, STILL_HOLDS)
    assert stated.CARD_PLACED.rstrip(".") in said(app) and "draft" not in app.query_params
    press(tick_all(app), STILL_HOLDS)
    begun = use.try_of(house.mechanic, address(app, "draft"))
    assert set(stated.CONDITION) < set(begun.statements)
    assert begun.statements[0].startswith(stated.UNCHANGED)
    kept = use.photo_arrived(house.mechanic, begun.id, photo(house.clock.at))
    use.measured(kept.id, reading(WITHIN))
    app = press(open_page("round", house.mechanic, draft=kept.id), "Send to be confirmed")
    assert "Sent to be confirmed: Strut extension" in said(app)
    assert address(app, "item") != strut  # on with the round by itself


def test_another_person_states_the_strut_s_condition_himself(open_page: Open, house: House) -> None:
    visit = strut_visit(house)
    other = house.people.enter("Second mechanic", house.mechanic.roles, PASSWORD)
    house.inspections.state_opening(other, visit)
    app = open_page("round", other, leg=house.primary.id)
    assert stated.CONDITION[0] in [box.label for box in app.checkbox]
    assert STILL_HOLDS not in labels(app)
