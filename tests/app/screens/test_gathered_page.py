from typing import Any

from streamlit.testing.v1 import AppTest

from app.screens.parts import statements
from tests.app.records_house import House
from tests.app.screens.looking import Open, labels, press, said, tick_all, type_in
from tests.app.serving.served import OTHER_PHOTO, PHOTO

WHY = "Taken on the ramp an hour ago."


def gathered(house: House, data: bytes = PHOTO) -> Any:
    return house.inspections.photo_gathered(house.mechanic, house.aircraft.id, data, "IMG_1.jpg")


def opened(open_page: Open, house: House) -> AppTest:
    return open_page("gathered", house.mechanic, aircraft=house.aircraft.id)


def test_a_photo_without_a_tag_asks_for_its_leg_and_its_time_is_questioned(
    open_page: Open, house: House
) -> None:
    gathered(house)
    app = opened(open_page, house)
    words = said(app)
    assert "Waiting for their leg: 1" in words
    assert "No tag in the picture: which leg is it?" in words
    assert "does not tell when it was taken" in words
    assert not any(label.startswith("Give it to the") for label in labels(app))


def test_it_is_given_once_all_is_stated_and_the_question_answered(open_page: Open, house: House) -> None:
    one = gathered(house)
    app = opened(open_page, house)
    (leg,) = (one for one in app.radio if str(one.key).startswith("leg-"))
    leg.set_value(house.primary.id).run()
    give = f"Give it to the {house.primary.position}"
    assert "not stated yet" in said(press(app, give)).replace("Not", "not")
    tick_all(app)
    assert "Say why it shows this leg" in said(press(app, give))
    type_in(app, why_=WHY)
    press(app, give)
    (given,) = house.inspections.unfinished()
    assert given.photo == one.photo
    assert set(statements.CONDITION) <= set(given.statements)
    assert house.jobs.submitted == [given.id]
    assert "Waiting for their leg: 0" in said(opened(open_page, house))


def test_one_photo_is_asked_about_at_a_time(open_page: Open, house: House) -> None:
    gathered(house)
    gathered(house, OTHER_PHOTO)
    app = opened(open_page, house)
    assert "Waiting for their leg: 2" in said(app)
    assert len([one for one in app.radio if str(one.key).startswith("leg-")]) == 1


def test_a_photo_is_set_aside_with_a_reason_only(open_page: Open, house: House) -> None:
    gathered(house)
    app = opened(open_page, house)
    assert "The reason has to be told" in said(press(app, "Set it aside"))
    type_in(app, aside_why_="Not this aircraft.")
    assert "Waiting for their leg: 0" in said(press(app, "Set it aside"))


def test_an_inspector_is_told_who_adds_photos(open_page: Open, house: House) -> None:
    assert "added by the mechanic" in said(open_page("gathered", house.inspector))
