from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree

import pytest

from app.screens.drawings.chart import NARROW, WIDE, chart
from app.screens.palette import DARK, LIGHT, Palette
from app.trends import Drift, Point, Source, drift
from tests.app.records_house import OUTSIDE, House
from tests.app.screens.history import visited
from tests.app.screens.looking import Open, press, said

SVG = "{http://www.w3.org/2000/svg}"
BEGAN = datetime(2025, 3, 3, tzinfo=UTC)


def points() -> list[Point]:
    made = [
        Point(BEGAN + timedelta(days=9 * k), 91.0 - 0.3 * k, 0.4, lower=82.55, upper=95.25) for k in range(8)
    ]
    aside = Point(BEGAN + timedelta(days=20), 86.0, 0.9, stands=False, lower=82.55, upper=95.25)
    hand = Point(BEGAN + timedelta(days=30), 90.0, 1.0, Source.HAND)
    return [*made, aside, hand]


@pytest.mark.parametrize("size", [WIDE, NARROW])
@pytest.mark.parametrize("colours", [LIGHT, DARK])
def test_every_try_is_drawn_within_the_sheet_with_its_bar(
    colours: Palette, size: tuple[float, float]
) -> None:
    found = drift(points())
    assert isinstance(found, Drift)
    root = ElementTree.fromstring(chart(colours, points(), found, size))
    discs = list(root.iter(f"{SVG}circle"))
    assert len(discs) == 9
    assert [one.get("fill") for one in discs].count(colours.sheet) == 1  # what was set aside is open
    for one in discs:
        assert 54 <= float(one.get("cx", "")) <= size[0] - 14
        assert 18 <= float(one.get("cy", "")) <= size[1] - 44
    words = [one.text for one in root.iter(f"{SVG}text")]
    assert "lower limit 82.55" in words and "upper limit 95.25" in words
    bars = [one for one in root.iter(f"{SVG}path") if "h8" in one.get("d", "")]
    assert len(bars) == 10


def test_a_larger_value_lies_higher_and_a_later_one_further_right() -> None:
    first, second = Point(BEGAN, 88.0, 0.4), Point(BEGAN + timedelta(days=5), 89.0, 0.4)
    root = ElementTree.fromstring(chart(LIGHT, [first, second], None, WIDE))
    (a, b) = root.iter(f"{SVG}circle")
    assert float(a.get("cx", "")) < float(b.get("cx", ""))
    assert float(a.get("cy", "")) > float(b.get("cy", ""))


def test_one_reading_alone_has_a_drawing_too() -> None:
    assert "circle" in chart(DARK, [Point(BEGAN, 88.0, 0.4)], None, NARROW)


def test_a_trend_shows_every_reading_in_words_and_the_drift(open_page: Open, house: House) -> None:
    for value in (93.0, 92.0, 91.0, 90.0, 89.0, 88.0):
        visited(house, value)
    text = said(open_page("trend", house.mechanic, leg=house.primary.id))
    for words in (
        "Strut extension over time",
        "93.0 mm ± 0.4 mm",
        "88.0 mm ± 0.4 mm",
        "photo, stands, within",
    ):
        assert words in text, words
    assert "6 readings over 35 days show a drift: between −" in text
    assert "the lower limit of 82.55 mm (3.250 in)" in text
    assert "6 readings from 2024-05-08 to 2024-06-12" in text  # the drawing's own words
    assert text.count("data:image/svg+xml;base64,") == 2


def test_few_readings_tell_no_drift_and_say_why(open_page: Open, house: House) -> None:
    visited(house, 90.0)
    text = said(open_page("trend", house.mechanic, leg=house.primary.id))
    assert "Not told. A drift needs 5 readings" in text


def test_who_may_have_to_read_a_photo_blind_finds_no_value_of_it(open_page: Open, house: House) -> None:
    visited(house, 90.0)
    house.sent(OUTSIDE)
    text = said(open_page("trend", house.inspector, leg=house.primary.id))
    assert "90.0 mm" in text and "97.0" not in text
    assert "97.0 mm" in said(open_page("trend", house.mechanic, leg=house.primary.id))


def test_load_and_temperature_are_worked_out_and_change_no_verdict(open_page: Open, house: House) -> None:
    visited(house, 90.0)
    app = open_page("trend", house.mechanic, leg=house.primary.id)
    # The worked case of the air spring in other units: A 33.333 in², V 727.27 in³, 375 psi, 20 in.
    given = (2585.5, 11917.9, 215.05, 508.0, 200.0, 245.0, -20.0, 20.0, 20.0)
    for field, value in zip(app.number_input, given, strict=True):
        field.set_value(value)
    press(app, "Work it out")
    text = said(app)
    assert "would account for at most −" in text
    assert "The verdict stays as it is." in text
    assert "less the ambient one" in text


def test_a_field_that_is_missing_is_told(open_page: Open, house: House) -> None:
    visited(house, 90.0)
    app = press(open_page("trend", house.mechanic, leg=house.primary.id), "Work it out")
    assert "A value is missing" in said(app)


def test_a_leg_that_is_not_there_is_told(open_page: Open, house: House) -> None:
    assert (
        "no aircraft in this archive has the leg" in said(open_page("trend", house.mechanic, leg="x")).lower()
    )
