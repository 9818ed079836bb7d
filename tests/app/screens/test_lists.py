"""The screens of what a shop keeps."""

from collections.abc import Callable
from datetime import date

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import Role
from app.inspection.rounds.crew import is_authorised
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import DUE, LONG_AGO, RoundHouse, open_round, programme
from tests.app.screens.looking import Open, labels, press, said

Opened = Callable[..., RoundHouse]


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_round(house, programme("hoses", "tension"))


def type_into(app: AppTest, label: str, text: str, which: int = 0) -> None:
    fields = [one for one in (*app.text_input, *app.text_area) if one.label.startswith(label)]
    fields[which].input(text)


def test_an_overdue_instrument_and_a_damaged_card_say_so(open_page: Open, opened: RoundHouse) -> None:
    opened.gauge(LONG_AGO)
    card = opened.use.enter_card(opened.mechanic, "strip", "3", (200.2,), "rule 17", DUE)
    opened.use.damage_card(opened.mechanic, card.id, "creased")
    text = said(open_page("lists", opened.mechanic, step="tools"))
    assert "overdue since 2024-04-30" in text
    assert "out of use: creased" in text


def test_an_instrument_and_a_card_are_entered(open_page: Open, opened: RoundHouse) -> None:
    app = open_page("lists", opened.mechanic, step="tools")
    type_into(app, "Instrument", "tire gauge")
    type_into(app, "Its number", "G-7")
    app.selectbox(key="tool-unit").set_value(("pressure", "psi"))
    app.number_input(key="tool-u").set_value(0.5)
    app.date_input(key="tool-due").set_value(date(2030, 1, 1))
    app.button[[one.label for one in app.button].index("Enter")].click().run()
    said(app)
    (tool,) = opened.use.instruments()
    assert (tool.number, round(tool.expanded_u, 3)) == ("G-7", 3.447)


def test_a_chart_that_is_none_says_so(open_page: Open, opened: RoundHouse) -> None:
    app = open_page("lists", opened.mechanic, step="tools")
    app.selectbox(key="chart-whose").set_value(opened.house.aircraft)
    type_into(app, "Cable, or riser", "lock cable")
    type_into(app, "Rows", "0 200 240\n30 280 320")
    type_into(app, "Document and revision", "manual 27")
    [one for one in app.button if one.label == "Enter"][-1].click().run()
    assert "lock cable" in said(app)
    assert opened.use.charts()[0].rows[1] == [30.0, 280.0, 320.0]


def test_a_programme_with_three_mistakes_gives_three_messages(open_page: Open, opened: RoundHouse) -> None:
    app = open_page("lists", opened.administrator, step="programme")
    wrong = (
        programme("hoses")
        .replace('group = "lines"', 'group = "lynes"')
        .replace('method = "hand_and_eye"', 'method = "hand"')
        .replace('document = "written for the tests"', "")
    )
    app.text_area(key="programme-toml").input(wrong)
    press(app, "Check it and keep it")
    text = said(app)
    assert "3 faults in this programme" in text
    assert text.count("line ") >= 3
    assert len(opened.use.programmes()) == 1


def test_what_is_fitted_is_answered_leg_by_leg(open_page: Open, opened: RoundHouse) -> None:
    app = open_page("lists", opened.administrator, step="programme")
    leg = opened.house.primary.id
    app.selectbox(key=f"feature-{leg}-cables").set_value("none")
    keep = [one for one in app.button if one.label == "Keep these answers"]
    keep[[one.position for one in opened.use.legs(opened.house.aircraft.id)].index("nose")].click().run()
    said(app)
    assert opened.use.features_of(leg) == {"cables": "none"}


def test_an_authorisation_is_entered_by_another_person(open_page: Open, opened: RoundHouse) -> None:
    both = opened.house.people.enter("Inspector 3", frozenset({Role.INSPECTOR}), PASSWORD)
    app = open_page("lists", opened.administrator, step="people")
    app.selectbox(key="auth-whom").set_value(both)
    app.selectbox(key="auth-role").set_value(Role.INSPECTOR)
    app.text_input(key="auth-class").input("lines")
    app.date_input(key="auth-begins").set_value(date(2024, 1, 1))
    app.date_input(key="auth-ends").set_value(date(2025, 1, 1))
    press(app, "Authorise")
    assert "inspector, lines, until 2025-01-01" in said(app)
    with opened.house.archive.records.look() as r:
        assert is_authorised(r, both, Role.INSPECTOR, "lines", date(2024, 6, 1))
        assert not is_authorised(r, both, Role.INSPECTOR, "strut", date(2024, 6, 1))


def test_a_legs_data_is_changed_by_two_people(open_page: Open, opened: RoundHouse) -> None:
    leg = opened.house.primary
    app = open_page("lists", opened.mechanic, step="legs")
    app.text_area(key=f"toml-{leg.id}").input(leg.toml.replace("rev 3", "rev 4"))
    app.text_input(key=f"reason-{leg.id}").input("new revision")
    buttons = [one for one in app.button if one.label == "Propose this change"]
    buttons[[one.id for one in opened.use.legs(opened.house.aircraft.id)].index(leg.id)].click().run()
    assert "waits for another person" in said(app)
    assert "Approve this change" not in labels(app)
    app = open_page("lists", opened.inspector, step="legs")
    assert "demo manual 32-10-05 rev 4" in said(app)
    type_into(app, "Password of", PASSWORD)
    press(app, "Approve this change")
    said(app)
    assert "rev 4" in opened.use.legs(opened.house.aircraft.id)[1].toml


def test_a_mechanic_keeps_no_people(open_page: Open, opened: RoundHouse) -> None:
    pressed = labels(open_page("lists", opened.mechanic, step="people"))
    assert not {"Authorise", "Reset it", "Enter"} & set(pressed)


def test_a_reset_shows_its_temporary_password_once_and_opens_nothing_but_its_change(
    open_page: Open, opened: RoundHouse
) -> None:
    app = open_page("lists", opened.administrator, step="people")
    app.selectbox(key="reset-whose").set_value(opened.mechanic)
    press(app, "Reset it")
    text = said(app)
    assert "Temporary password of Mechanic" in text
    temporary = text.split("Temporary password of Mechanic</b>")[1].split("<")[0]
    token = opened.house.people.sign_in("Mechanic", temporary)
    assert opened.house.people.person_of(token) == opened.mechanic
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tests.app.screens.conftest.PASSWORD", temporary)
        shut = open_page("round", opened.mechanic)
    assert "reset your password" in said(shut)
    assert labels(shut) == ["Change it"]
    for key, typed in (("old", temporary), ("new", "another of my own"), ("again", "another of my own")):
        shut.text_input(key=key).input(typed)
    press(shut, "Change it")
    assert "The session has ended" in said(shut)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("tests.app.screens.conftest.PASSWORD", PASSWORD)
        app = open_page("lists", opened.inspector, step="people")
    type_into(app, "Password of Inspector", PASSWORD)
    press(app, "Vouch for Mechanic")
    said(app)
    assert opened.house.people.pending_reset(opened.mechanic.id) is None


@pytest.mark.parametrize("step", ["", "people", "tools", "legs", "programme", "password"])
def test_every_list_is_drawn_for_everybody(open_page: Open, opened: RoundHouse, step: str) -> None:
    for person in (opened.mechanic, opened.signatory, opened.administrator, opened.trainee):
        said(open_page("lists", person, step=step))
