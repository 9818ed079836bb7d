import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import HandReading, ItemState
from tests.app.records_house import PASSWORD, WITHIN, House, refusal
from tests.app.screens.looking import Open, address, labels, press, said, type_in


def filled(open_page: Open, house: House, item: str, **changed: str) -> AppTest:
    app = open_page("hand", house.inspector, item=item)
    texts = {
        "hand_value": "88.7 mm",
        "hand_doubt": "0.5 mm",
        "hand_instrument": "steel rule 17",
        "hand_password": PASSWORD,
    }
    return press(type_in(app, **(texts | changed)), "Sign this measurement")


def test_a_hand_measurement_closes_a_supporting_legs_within(open_page: Open, house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    app = open_page("hand", house.inspector, item=item.id)
    assert "it stands beside the photo reading, which is supporting" in said(app)
    app = filled(open_page, house, item.id)
    assert "88.7 mm ± 0.5 mm" in said(app)
    assert house.item(item.id).state is ItemState.CLOSED


def test_what_was_entered_is_shown_after_a_reload_and_not_the_form_again(
    open_page: Open, house: House
) -> None:
    item = house.item_of(house.confirmed(WITHIN, house.supporting))
    app = filled(open_page, house, item.id)
    entered = address(app, "entered")
    again = open_page("hand", house.inspector, item=item.id, entered=entered)
    assert "88.7 mm ± 0.5 mm" in said(again)
    assert labels(again) == []


def test_after_a_refusal_the_item_waits_for_a_second_person(open_page: Open, house: House) -> None:
    sent = house.inspections.send(house.mechanic, house.measured(refusal()).id)
    app = filled(open_page, house, sent.item_id)
    assert "waits for another person" in said(app)
    assert house.item(sent.item_id).state is ItemState.HAND_WANTED


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"hand_value": "88.7"}, "is not a length"),
        ({"hand_value": ""}, "the extension is missing"),
        ({"hand_doubt": "0 mm"}, "has to be above 0"),
        ({"hand_instrument": " "}, "the instrument is missing"),
        ({"hand_password": "not mine"}, "not your password"),
        ({"hand_value": "3 m"}, "is not a length"),
    ],
)
def test_what_cannot_be_signed_is_named_and_enters_nothing(
    open_page: Open, house: House, changed: dict[str, str], sentence: str
) -> None:
    sent = house.inspections.send(house.mechanic, house.measured(refusal()).id)
    text = said(filled(open_page, house, sent.item_id, **changed))
    assert sentence in text.lower()
    story = house.inspections.item_story(house.mechanic, sent.item_id)
    assert not any(isinstance(entry, HandReading) for _, entry in story.entries)


def test_a_closed_item_takes_no_more(open_page: Open, house: House) -> None:
    item = house.item_of(house.confirmed(WITHIN))
    app = open_page("hand", house.mechanic, item=item.id)
    assert "closed and takes no further measurement" in said(app)
    assert labels(app) == []


def test_without_an_item_the_page_asks_for_the_leg(open_page: Open, house: House) -> None:
    assert "Which strut was measured?" in said(open_page("hand", house.mechanic))
