"""The tire's screens: its gauge, its photo, its second person."""

import json

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import ItemState, Measured, Person
from app.inspection.rounds.given import Gauge
from app.inspection.rounds.model import Finding
from app.inspection.rounds.tire_camera import CAMERA, FOLDER
from app.inspection.rounds.tire_rules import Shown
from tests.app.inspection.test_tire_camera import TOLD, WORDS
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.looking import Open, address, labels, press, said, tick_all, type_in
from tests.app.tire_house import (
    answered,
    begun,
    line_at,
    open_pressed_tire,
    open_tire,
    place,
    read,
    sign_looks,
    tire_item,
    without_mark,
)
from tests.scenes.photo_files import encoded, smooth_picture
from vision import notes
from vision.results import Refusal, to_json


@pytest.mark.parametrize("told", [True, False])
def test_a_tires_gauge_is_read_with_its_state_and_temperature(
    open_page: Open, house: House, told: bool
) -> None:
    opened = open_tire(house, more="pressure_temperature_C = 15.0")
    opened.gauge()
    item = tire_item(opened, "tire_pressure").id
    app = open_page("visit", opened.mechanic, visit=opened.visit.id, item=item)
    app.selectbox(key=f"tool-{item}").select_index(0)
    # A list or buttons, as the form has it: either way it is the unit that the gauge shows.
    (unit,) = (one for one in (*app.radio, *app.selectbox) if one.key == f"unit-{item}")
    unit.set_value("psi")
    app.text_input(key=f"values-{item}").input("71")
    if told:
        app.number_input(key=f"temperature-{item}").set_value(12.0)
    press(app, "Enter this reading")
    if not told:
        assert "write down the temperature of the cold tire" in said(app)
        return
    said(app)
    mine = opened.use.stop(opened.mechanic, item).mine
    assert mine is not None and mine.reading is not None
    assert (mine.reading["state"], mine.reading["temperature_c"], mine.reading["stated_c"]) == (
        "loaded", 12.0, 15.0,
    )  # fmt: skip
    again = said(open_page("visit", opened.mechanic, visit=opened.visit.id, item=item))
    assert "loaded at 12 °C; told as loaded at 15 °C" in again


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    return open_page("visit", person or opened.mechanic, visit=opened.visit.id, **query)


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


def begin(app: AppTest, item: str) -> AppTest:
    app.number_input(key=f"cold-now-{item}-True").set_value(5.0)
    app.number_input(key=f"cold-allowed-{item}-True").set_value(3.0)
    app.radio(key=f"eye-{item}").set_value("It is")
    return press(tick_all(app), "Go on to the photo")


def test_without_a_gauge_reading_the_photo_is_locked_and_says_why(open_page: Open, house: House) -> None:
    opened = open_tire(house)
    app = go(open_page, opened, item=tire_item(opened, "tire_line").id)
    assert "Read the gauge first: no good cold gauge reading of this tire stands." in said(app)
    assert "Go on to the photo" not in labels(app)
    assert "Enter this reading" in labels(app)  # by gauge


def test_the_gauge_is_one_tap_away_where_a_photo_may_be_taken(open_page: Open, opened: RoundHouse) -> None:
    item = tire_item(opened, "tire_line").id
    app = go(open_page, opened, item=item)
    assert "Enter this reading" not in labels(app) and "Open a discrepancy" in labels(app)
    press(app, "By gauge at the wheel instead")
    assert "Enter this reading" in labels(app) and "Go on to the photo" not in labels(app)


def test_the_photo_begins_once_all_is_told_that_lets_a_person_stand_beside_a_wheel(
    open_page: Open, opened: RoundHouse
) -> None:
    item = tire_item(opened, "tire_line").id
    app = go(open_page, opened, item=item)
    press(app, "Go on to the photo")
    assert "Whether the tire is cold is not told" in said(app)
    begin(app, item)
    (this,) = opened.use.tire_tries(opened.mechanic, item)
    assert address(app, "draft") == this.id
    assert "square to the wheel" in said(app)


def test_after_an_undecided_photo_the_next_one_is_known_to_be_in_vain(
    open_page: Open, opened: RoundHouse
) -> None:
    item = tire_item(opened, "tire_line").id
    in_vain = "could not tell, which no later photo undoes"
    assert in_vain not in said(go(open_page, opened, item=item))
    read(opened, line_at(2.9))
    assert in_vain in said(go(open_page, opened, item=item))
    # Who has not photographed it may yet be the second person, and learns nothing of it.
    assert in_vain not in said(go(open_page, opened, opened.mechanic_2, item=item))


def test_a_shops_calibrated_camera_is_chosen_before_the_photo(
    open_page: Open, opened: RoundHouse, house: House
) -> None:
    item = tire_item(opened, "tire_line").id
    assert not go(open_page, opened, item=item).selectbox
    folder = house.home / FOLDER
    folder.mkdir()
    (folder / "phone-2.json").write_text(json.dumps(TOLD), encoding="utf-8")
    (folder / "other.json").write_text("[]", encoding="utf-8")
    app = go(open_page, opened, item=item)
    assert "other.json: holds no JSON object" in said(app)
    (choice,) = app.selectbox
    assert choice.value == "No calibration"
    choice.set_value(f"phone-2: {WORDS}").run()
    begin(app, item)
    (this,) = opened.use.tire_tries(opened.mechanic, item)
    assert this.options[CAMERA] == TOLD
    story = said(open_page("archive", opened.mechanic, item=item))
    assert WORDS in story and "f_px" not in story


def test_the_reading_answers_yes_no_or_cannot_tell_and_is_entered(
    open_page: Open, opened: RoundHouse
) -> None:
    item = tire_item(opened, "tire_line").id
    this = read(opened, line_at(0.4))
    app = go(open_page, opened, item=item, draft=this.id)
    text = said(app)
    assert "<h3>Line parallel to the ground</h3>" in text and "<b>Yes</b>" in text and "0.4° ± 0.6°" in text
    assert "Level told by: <b>ground contact</b>" in text
    assert "Loaded radius" in text and "<b>180.2 mm ± 1.5 mm</b><small>7.09 in ± 0.06 in</small>" in text
    assert "Creep, arc at the flange: no value" in text and "What to do" in text
    assert "the gauge&#x27;s reading stands beside it" in text
    press(app, "Enter the photo's reading")
    assert opened.use.stop(opened.mechanic, item).answered
    again = said(go(open_page, opened, item=item))
    assert "read on its photo, level told by ground contact" in again


@pytest.mark.parametrize(("deg", "word"), [(4.1, "No"), (2.9, "Cannot tell")])
def test_outside_and_undecided_have_their_own_words(
    open_page: Open, opened: RoundHouse, deg: float, word: str
) -> None:
    this = read(opened, line_at(deg))
    app = go(open_page, opened, item=this.item_id, draft=this.id)
    assert f"<b>{word}</b>" in said(app)
    press(app, "Enter the photo's reading")
    text = said(app)
    assert ("The photo cannot tell" in text) is (word == "Cannot tell")
    assert bool(opened.use.cases(opened.visit.id)) is (word == "No")


def test_the_second_person_meets_the_bare_photo_and_nothing_that_was_read(
    open_page: Open, opened: RoundHouse
) -> None:
    answered(opened)
    item = tire_item(opened, "tire_line").id
    for query in ({"look": item}, {"item": item}, {"look": item, "at": "wheel"}):
        text = said(go(open_page, opened, opened.inspector, **query))
        assert "0.4°" not in text and "180.2" not in text and "0.4 deg" not in text
    app = go(open_page, opened, opened.inspector, look=item)
    assert "Place the two ends of the line" in said(app)
    assert "By eye at the wheel, before the photo was read: nothing wrong." in said(app)


def test_after_his_placing_all_readings_stand_side_by_side_and_are_signed(
    open_page: Open, opened: RoundHouse
) -> None:
    this = answered(opened)
    place(opened, 0.6)
    text = said(go(open_page, opened, opened.inspector, step="second"))
    assert "placed on the bare photo" in text and "once you have looked at what else is read" in text
    assert "/annotated/" not in text and "180.2" not in text
    without_mark(opened)
    app = go(open_page, opened, opened.inspector, step="second")
    text = said(app)
    assert "placed on the bare photo" in text and "read on its photo" in text
    assert f"/annotated/{this_annotated(opened, this.id)}" in text
    assert "Both agree: the item closes." in text
    type_in(app, looks_password=PASSWORD)
    press(app, "Sign 2 second looks")
    assert tire_item(opened, "tire_line").state is ItemState.CLOSED


def test_after_his_own_look_the_second_person_is_told_of_every_eye_and_photo_before(
    open_page: Open, opened: RoundHouse
) -> None:
    read(opened, line_at(2.9), own=Finding.FAULT)
    item = tire_item(opened, "tire_line").id
    tool = opened.gauge(quantity="angle", unit="deg", u=0.2)
    opened.use.answer(opened.mechanic, item, Gauge((0.4,), "deg", tool.id))
    opened.sign_work(opened.mechanic)
    told = "by eye something wrong; the photo could not tell."
    assert told not in said(go(open_page, opened, opened.inspector, look=item))
    opened.use.look(opened.inspector, item, Gauge((0.5,), "deg", tool.id))
    assert told in said(go(open_page, opened, opened.inspector, step="second"))


def test_who_photographed_the_tire_himself_is_told_so_and_led_to_the_wheel(
    open_page: Open, opened: RoundHouse
) -> None:
    both = opened.house.inspector_2
    read(opened, line_at(0.5), person=both)
    answered(opened)
    app = go(open_page, opened, both, look=tire_item(opened, "tire_line").id)
    assert "You photographed this tire yourself" in said(app)
    assert "Look at the wheel instead" in said(app)
    assert "0.4°" not in said(app)


def this_annotated(opened: RoundHouse, try_id: str) -> str:
    found = opened.use.try_of(opened.mechanic, try_id).annotated
    assert found is not None
    return found


def test_archive_story_and_find_show_a_settled_tire(open_page: Open, opened: RoundHouse) -> None:
    answered(opened)
    place(opened, 0.6)
    without_mark(opened)
    sign_looks(opened)
    item = tire_item(opened, "tire_line").id
    assert "Line parallel to the ground: yes" in said(open_page("archive", opened.mechanic))
    story = said(open_page("archive", opened.house.inspector_2, item=item))
    assert "How the tire stands" in story and "Loaded radius" in story
    found = said(open_page("find", opened.mechanic))
    assert "0.4° ± 0.6°" in found and f"confirmed by {opened.inspector.name}" in found
    assert "Extension only" not in found


def test_the_photo_of_the_line_is_offered_for_the_mark(open_page: Open, opened: RoundHouse) -> None:
    answered(opened)
    item = tire_item(opened, "tire_creep").id
    app = go(open_page, opened, item=item)
    press(app, "Use that photo")
    assert "What you see by eye at the wheel comes before the photo" in said(app)
    app.radio(key=f"same-eye-{item}").set_value("It has not")
    press(app, "Use that photo")
    said(app)
    (this,) = opened.use.tire_tries(opened.mechanic, item)
    assert this.photo is not None and this.options["own"] == "good"
    assert opened.house.jobs.submitted == [this.id]


def test_after_a_refusal_the_rim_can_be_shown_on_the_photo(open_page: Open, opened: RoundHouse) -> None:
    told = to_json(Refusal("pressure_line_angle", notes.WHEEL_NOT_FOUND)) | {
        "results": [],
        "level_from": None,
    }
    this = begun(opened)
    opened.use.photo_arrived(opened.mechanic, this.id, encoded(smooth_picture(400, 300)))
    opened.use.measured(this.id, Measured(told))
    app = go(open_page, opened, item=this.item_id, draft=this.id)
    choice = next(one for one in app.radio if one.key == f"show-{this.id}")
    assert list(choice.options) == [
        "The flange's outer edge",
        "Where the tire meets the ground",
        "A plumb line",
        "The horizon",
    ]
    app = choice.set_value(Shown.RIM).run()
    assert not app.exception
    assert "Measure with these points" not in labels(app)  # nothing is placed yet


def test_what_was_read_needs_nothing_shown(open_page: Open, opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    app = go(open_page, opened, item=this.item_id, draft=this.id)
    assert not [one for one in app.radio if one.key == f"show-{this.id}"]
