"""The hoses' screens: nothing found is told before one's own look, one place one answer, nothing left out."""

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import ItemState, Try, TryState
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, Judged
from app.inspection.rounds.search_views import BareMark, ShownHose
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    UNKNOWN,
    arrived,
    course,
    flag,
    found,
    hands,
    hose_item,
    judged,
    marked,
    open_hoses,
    refused,
    searched,
)
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import NONE, WHY, answer, choose, go, place
from tests.app.screens.looking import Open, address, labels, press, said, tick_all, type_in

HAND = "Enter what hand, light and mirror found"
ANSWERS = ("Wear", "Reflection", "Dirt", "Fluid", "Cannot tell")


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def two_flags(opened: RoundHouse) -> Try:
    this = searched(opened, found(flag(150.0), flag(400.0), aside=(flag(300.0, kind="clamp", why="across"),)))
    marked(opened, this)
    return this


# ---- the photo, and the hoses on it


def test_a_photo_begins_with_the_side_it_shows(open_page: Open, opened: RoundHouse) -> None:
    app = press(go(open_page, opened), "Go on to the photo")
    assert "Not done" in said(app)
    app.text_input(key=f"seen-from-{hose_item(opened).id}-0").input("front, from below")
    press(app, "Go on to the photo")
    text = said(app)
    assert address(app, "draft") and "Square to the hose" in text


def test_without_hoses_in_the_legs_data_there_is_only_the_hand_and_why(open_page: Open, house: House) -> None:
    app = go(open_page, open_hoses(house, UNKNOWN))
    assert "No photo of these hoses now" in said(app) and "lack the diameter" in said(app)
    assert "Go on to the photo" not in labels(app) and HAND in labels(app)


def all_round(app: AppTest, finding: str = "Nothing wrong") -> AppTest:
    type_in(choose(app, finding), doors="open and closed", steering="stops")
    return press(app, HAND)


def test_nothing_wrong_is_offered_after_hand_mirror_and_light_alone(
    open_page: Open, opened: RoundHouse
) -> None:
    app = go(open_page, opened)
    assert "Nothing wrong" not in labels(app) and "Open a discrepancy" in labels(app)
    all_round(app)
    assert "Entered: Nothing wrong" in said(app)
    press(app, "Nothing wrong")
    mine = opened.use.stop(opened.mechanic, hose_item(opened).id).mine
    assert mine.text.startswith("All hoses by hand, mirror and light; doors: open and closed")


def test_what_hand_and_mirror_found_wrong_is_not_followed_by_nothing_wrong(
    open_page: Open, opened: RoundHouse
) -> None:
    searched(opened, refused())
    app = go(open_page, opened, at="hand")
    type_in(app, hand_words="two hoses touch")
    all_round(app, "Something is wrong")
    text = said(app)
    assert "Entered: Wrong. two hoses touch" in text and "a discrepancy is opened" in text
    assert "Nothing wrong" not in labels(app) and "Open a discrepancy" in labels(app)


def test_an_answer_without_hand_mirror_and_light_is_corrected_with_them(
    open_page: Open, opened: RoundHouse
) -> None:
    opened.use.answer(opened.mechanic, hose_item(opened).id, ByEye(Finding.NOT_FITTED, "no hose"))
    app = go(open_page, opened)
    (why,) = (one for one in app.text_input if one.label == "Why it is corrected")
    why.input("there is one")
    press(app, "Nothing wrong")
    assert "All hoses by hand, mirror and light, doors and steering" in said(app)
    all_round(app)
    press(app, "Nothing wrong")
    assert opened.use.stop(opened.mechanic, hose_item(opened).id).mine.finding is Finding.GOOD


def test_each_hose_is_named_before_it_is_shown_and_one_that_cannot_be_searched_is_not_offered(
    open_page: Open, house: House
) -> None:
    opened = open_hoses(house, BRAKE + LOCK + UNKNOWN)
    app = go(open_page, opened, draft=arrived(opened).id)
    assert "tap along its middle from one end to the other" in said(app)
    (which,) = (one for one in app.radio if one.label == "Which hose")
    assert which.value is None and list(which.options) == ["brake", "lock"]
    assert not [one for one in labels(app) if one.startswith("Search")]  # nothing is shown yet


def test_hoses_that_are_shown_are_searched_together_and_one_can_be_left_out(
    open_page: Open, house: House
) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = arrived(opened)
    app = go(open_page, opened, draft=this.id)
    app.session_state["hoses-shown"] = {this.id: {"brake": ALONG, "lock": ALONG[:2]}}
    app.run()
    text = said(app)
    assert "brake: 3 places." in text and "lock: 2 places: too few, no part of it will count" in text
    assert "Search these 2 hoses" in labels(app)
    press(app, "Leave lock out")
    press(app, "Search this hose")
    assert [one["name"] for one in opened.use.try_of(opened.mechanic, this.id).options["taps"]] == ["brake"]
    assert opened.house.jobs.submitted == [this.id]


def test_a_photo_can_be_given_up_before_its_hoses_are_shown(open_page: Open, opened: RoundHouse) -> None:
    this = arrived(opened)
    app = press(go(open_page, opened, draft=this.id), "Give this photo up")
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.FAILED
    assert "given up" in said(app) or "given up" in " ".join(one.label for one in app.button)


def test_a_photo_of_somebody_who_is_away_can_be_given_up(open_page: Open, opened: RoundHouse) -> None:
    this = arrived(opened, opened.house.mechanic)
    way = {"visit": opened.visit.id, "item": hose_item(opened).id, "draft": this.id}
    app = open_page("visit", opened.mechanic_2, **way)
    assert "Another person took this photo" in said(app) and "tap along its middle" not in said(app)
    press(app, "Give this photo up")
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.FAILED


def test_a_refused_search_says_why_and_what_to_do(open_page: Open, opened: RoundHouse) -> None:
    this = searched(opened, refused())
    text = said(go(open_page, opened, draft=this.id))
    assert "Not searched" in text and "What to do" in text and "Show the hoses on the photo" in text


# ---- the bare photo first


def test_nothing_that_the_search_gave_is_told_before_ones_own_marking(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(flag(150.0)))
    for query in ({}, {"draft": this.id}, {"draft": this.id, "place": "flag-1"}, {"part": "enter"}):
        app = go(open_page, opened, **query)
        text = said(app)
        assert WHY not in text and "/hoses/" not in text, query
        assert not [one for one in app.button if one.label.startswith("**")]
    assert NONE in labels(go(open_page, opened, draft=this.id))


def test_that_none_is_seen_is_a_statement_and_leads_to_the_first_place(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(flag(150.0)))
    app = press(go(open_page, opened, draft=this.id), NONE)
    (photo,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos
    assert photo.marking is not None and photo.marking.none_seen
    text = said(app)
    assert address(app, "place") == "flag-1"
    assert "Place 1 of 1: flag on brake" in text and WHY in text


# ---- place by place


def test_a_place_is_shown_in_the_photo_and_on_the_straight_hose_with_its_line_or_without(
    open_page: Open, opened: RoundHouse
) -> None:
    this = two_flags(opened)
    app = place(open_page, opened, this, "flag-1")
    for what in ("photo", "straight"):
        assert f"/hoses/{this.id}/{what}/flag-1?lines=1" in said(app)
    app.checkbox(key="hose-lines").uncheck().run()
    assert "lines=1" not in said(app) and f"/hoses/{this.id}/straight/flag-1?lines=0" in said(app)


def test_five_answers_one_place_at_a_time_and_none_is_set_beforehand(
    open_page: Open, opened: RoundHouse
) -> None:
    app = place(open_page, opened, two_flags(opened), "flag-1")
    offered = [one.label for one in app.button if one.label.startswith("**")]
    assert [one.split("**")[1] for one in offered] == list(ANSWERS)
    assert all(one.proto.type != "primary" for one in app.button if one.label in offered)
    assert "Your answer" not in said(app) and not list(app.radio)
    assert "all" not in " ".join(labels(app)).lower().split()


def test_an_answer_leads_to_the_next_place_with_the_way_back_above_it(
    open_page: Open, opened: RoundHouse
) -> None:
    this = two_flags(opened)
    app = place(open_page, opened, this, "flag-1")
    type_in(app, words="wiped off")
    answer(app, "Dirt")
    text = said(app)
    assert address(app, "place") == "flag-2" and "Place 2 of 2" in text and "<b>Dirt</b>" in text
    press(app, "Change it")
    text = said(app)
    assert "Your answer: <b>Dirt</b>: wiped off" in text and "changed until it is signed" in text
    answer(app, "Reflection")
    (first, second) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places
    assert (first.judged, second.judged) == (Judged.REFLECTION, None)


def test_wear_is_said_only_with_the_hoses_own_limits_before_ones_eyes(open_page: Open, house: House) -> None:
    opened = open_hoses(house, LOCK)
    this = searched(opened, found(flag(150.0), hoses=[course("lock")]), name="lock")
    marked(opened, this)
    app = answer(place(open_page, opened, this, "flag-1"), "Wear")
    text = said(app)
    assert "Damage limits first" in text
    assert "hose manual 29-10 rev 2: No fibre of the cover may be broken." in text
    assert opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places[0].judged is None
    app.text_input(key=f"wear-words-{this.id}-flag-1").input("fibres broken")
    press(app, "It is wear")
    assert (
        opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places[0].judged
        is Judged.WEAR
    )


def test_what_was_set_aside_is_told_with_its_reason_and_brought_back(
    open_page: Open, opened: RoundHouse
) -> None:
    this = two_flags(opened)
    judged(opened, this, "flag-1")
    app = place(open_page, opened, this, "flag-2")
    answer(app, "Reflection")
    text = said(app)
    assert address(app, "part") == "aside" and "Clamp" in text and "across" in text
    press(app, "Bring back 1")
    assert "Place 3 of 3: set aside on brake" in said(app)
    assert "places 3 are" not in said(app)
    locks = opened.use.searched_item(opened.mechanic, hose_item(opened).id).locks
    assert any("place 3 is not judged" in one for one in locks)


# ---- what no photo replaces


def test_what_was_not_searched_is_acknowledged_stretch_by_stretch(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found())
    marked(opened, this)
    app = go(open_page, opened, part="cover")
    assert f"/hoses/{this.id}/length/0" in said(app) and "photo 1, a: 25 mm to 51 mm" in said(app)
    (how,) = (one for one in app.text_input if one.label == "How")
    how.input("by hand, mirror and light")
    press(choose(app, "Nothing wrong"), "Acknowledge for brake")
    assert "is not ticked" in said(app)
    press(tick_all(app), "Acknowledge for brake")
    text = said(app)
    assert "Inspected instead: by hand, mirror and light; one by one" in text and "Go on" in labels(app)
    (one,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).coverage
    assert one.acknowledged is not None and "photo 1 a" in one.acknowledged.told["how"]


def test_what_was_found_there_is_not_set_beforehand(open_page: Open, opened: RoundHouse) -> None:
    marked(opened, searched(opened, found()))
    for part, label in (
        ("cover", "Acknowledge for brake"),
        ("hand", HAND),
    ):
        app = go(open_page, opened, part=part)
        assert [one.value for one in app.radio] == [None]
        press(tick_all(app), label)
        assert "Say what you found" in said(app)


def test_hand_mirror_and_light_ask_for_doors_and_steering(open_page: Open, opened: RoundHouse) -> None:
    marked(opened, searched(opened, found()))
    app = go(open_page, opened, part="hand")
    press(choose(app, "Nothing wrong"), HAND)
    assert "How the doors stood" in said(app)
    type_in(app, doors="none fitted", steering="left and right stop")
    press(app, HAND)
    assert opened.use.searched_item(opened.mechanic, hose_item(opened).id).hand_light is not None


def test_what_the_hand_finds_wet_begins_a_leaks_steps_and_asks_for_limits(
    open_page: Open, opened: RoundHouse
) -> None:
    marked(opened, searched(opened, found()))
    hands(opened)
    app = tick_all(go(open_page, opened, part="cover"))
    type_in(app, how="by hand", cover_words="fluid at the end fitting")
    press(choose(app, "It is wet: the leak's steps begin"), "Acknowledge for brake")
    app = go(open_page, opened, part="enter")
    text = said(app)
    assert "Damage limits of brake" in text and "wet, fluid at the end fitting" in text
    press(app, "Enter: a discrepancy is opened")
    (case,) = opened.use.cases(opened.visit.id)
    assert case.sequence is not None


def test_what_could_not_be_told_is_told_at_the_hose(open_page: Open, opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", Judged.CANNOT_TELL)
    hands(opened)
    app = go(open_page, opened, part="hand")
    assert "Could not be told: flag on brake, photo 1" in said(app)
    assert "Go on" not in labels(app)
    (finding,) = (one for one in app.radio if one.label == "At the hose, with light and mirror")
    finding.set_value("Nothing wrong")
    type_in(app, settle_words="smooth to the finger")
    press(app, "Enter it")
    assert "Go on" in labels(app)
    assert opened.use.searched_item(opened.mechanic, hose_item(opened).id).finding is Finding.GOOD


# ---- entering


def test_nothing_is_entered_while_anything_is_left(open_page: Open, opened: RoundHouse) -> None:
    this = two_flags(opened)

    def left() -> str:
        app = go(open_page, opened, part="enter")
        assert not [one for one in labels(app) if one.startswith("Enter")]
        return said(app)

    assert "places 1, 2 are not looked at" in left()
    judged(opened, this, "flag-1")
    assert "place 2 is not looked at" in left()
    opened.use.open_place(opened.mechanic, this.id, "flag-2")
    assert "place 2 is not judged" in left()
    opened.use.judge(opened.mechanic, this.id, "flag-2", Judged.DIRT)
    assert "say how what the photos did not search of it was inspected" in left()
    item = hose_item(opened).id
    opened.use.acknowledge(opened.mechanic, item, "brake", "by mirror", Finding.GOOD)
    assert "by hand, mirror and light" in left()
    opened.use.hand_light(opened.mechanic, item, "none", "stops", Finding.GOOD)
    app = go(open_page, opened, part="enter")
    assert "Nothing that needs action was found on what was searched" in said(app)
    assert "no wear" not in said(app).lower()
    press(app, "Enter what was found")
    assert opened.use.stop(opened.mechanic, item).answered


def test_what_is_missing_is_gone_on_with(open_page: Open, opened: RoundHouse) -> None:
    this = two_flags(opened)
    app = press(go(open_page, opened, part="enter"), "Go on with what is missing")
    assert (address(app, "draft"), address(app, "place")) == (this.id, "flag-1")


def test_limits_are_asked_for_where_the_legs_data_do_not_hold_them(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", Judged.WEAR)
    hands(opened)
    app = go(open_page, opened, part="enter")
    item = hose_item(opened).id
    app.text_input(key=f"limit-{item}-brake").input("No cord may be seen.")
    press(app, "Enter: a discrepancy is opened")
    (case,) = opened.use.cases(opened.visit.id)
    assert "No cord may be seen." in case.discrepancy.text
    assert hose_item(opened).state is ItemState.DISCREPANCY


def test_an_unsigned_answer_leads_back_to_its_judgements(open_page: Open, opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    hands(opened)
    item = hose_item(opened).id
    opened.use.enter_search(opened.mechanic, item)
    app = press(go(open_page, opened), "The judgements on photo 1")
    app = place(open_page, opened, this, "flag-1")
    answer(app, "Dirt")
    assert address(app, "part") == "enter"
    assert not opened.use.stop(opened.mechanic, item).answered
    press(app, "Enter what was found")
    assert opened.use.stop(opened.mechanic, item).answered


def test_ones_own_mark_outlasts_a_search_that_failed(open_page: Open, opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    marked(opened, this, BareMark(200.0, 100.0, "rubbed to the braid"))
    opened.use.measuring_failed(this.id, "out of memory")
    app = press(go(open_page, opened), "Go on")
    assert "Place 1 of 1: your mark, rubbed to the braid" in said(app)
    answer(app, "Dirt")
    assert address(app, "part") == "cover"
    text = said(go(open_page, opened, draft=this.id))
    assert "Not searched: out of memory" in text and "1. Dirt" in text


def test_a_mark_beside_the_searched_hoses_is_called_so(open_page: Open, house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = searched(opened, found())
    marked(opened, this, BareMark(300.0, 400.0), person=opened.mechanic_2)
    marked(opened, this)
    (mark,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places
    app = place(open_page, opened, this, mark.key)
    assert "Place 1 of 1: marked beside the hoses" in said(app)
    assert "A hose, which one is not told" in said(answer(app, "Wear"))
