from app.screens.parts.reading import BESIDE_WITHIN_SHORT
from tests.app.records_house import OUTSIDE, WITHIN, House, refusal
from tests.app.screens.looking import Open, address, press, said


def test_what_is_found_stands_with_picture_value_verdict_people_and_ways_on(
    open_page: Open, house: House
) -> None:
    signed = house.confirmed(WITHIN)
    photo = house.inspections.try_of(house.mechanic, signed.try_id).photo
    text = said(open_page("find", house.mechanic))
    for words in ("88.9 mm ± 0.4 mm", "Within limits", "photographed by Mechanic", "confirmed by Inspector"):
        assert words in text, words
    assert f'src="/photos/{photo}/thumb"' in text
    assert BESIDE_WITHIN_SHORT.replace("'", "&#x27;") in text


def test_what_waits_is_found_by_nobody(open_page: Open, house: House) -> None:
    house.sent(OUTSIDE)
    text = said(open_page("find", house.inspector))
    assert "Nothing settled that this asks for." in text
    assert "97.0" not in text


def test_a_search_can_be_kept_as_its_address(open_page: Open, house: House) -> None:
    house.confirmed(WITHIN)
    house.confirmed(OUTSIDE, house.supporting)
    house.sent(refusal(), house.supporting)
    text = said(open_page("find", house.mechanic, aircraft="ZZ-GWT", verdict="Outside limits"))
    assert "97.0 mm" in text and "88.9 mm" not in text and "No value" not in text.split("Outside limits")[-1]
    text = said(open_page("find", house.mechanic, leg="nose", who="Inspector", since="2024-05-01"))
    assert "88.9 mm" in text and "97.0 mm" not in text
    assert "Nothing settled" in said(open_page("find", house.mechanic, until="2024-04-30"))
    assert "88.9 mm" in said(open_page("find", house.mechanic, until="2024-05-01", leg="nose"))


def test_a_date_that_is_none_is_told_and_everything_is_shown(open_page: Open, house: House) -> None:
    house.confirmed(WITHIN)
    text = said(open_page("find", house.mechanic, since="1.5.2024"))
    assert "1.5.2024 is no date" in text
    assert "88.9 mm" in text


def test_older_rows_are_a_page_further_and_keep_the_question(open_page: Open, house: House) -> None:
    for _ in range(26):
        house.sent(refusal(), house.supporting)
    app = open_page("find", house.mechanic, leg="left main")
    assert said(app).count("gw-row") == 25
    press(app, "Older")
    assert said(app).count("gw-row") == 1
    assert address(app, "leg") == "left main"
    assert "~" in address(app, "after")
    press(app, "First page")
    assert said(app).count("gw-row") == 25


def test_an_address_with_a_broken_place_is_told(open_page: Open, house: House) -> None:
    text = said(open_page("find", house.mechanic, after="nonsense"))
    assert "is no place in the list" in text
