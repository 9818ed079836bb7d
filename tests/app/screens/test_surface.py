"""A surface's screens: beside the eye and never instead, one's own look first, one place one answer."""

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import ItemState, Person, TryState
from app.inspection.rounds.model import Finding, Judged
from tests.app.hose_house import judged, marked
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import NONE, answer, choose
from tests.app.screens.looking import Open, address, labels, press, said, tick_all, type_in
from tests.app.surface_house import (
    CORNERS,
    arrived,
    by_hand,
    entered,
    found,
    open_surface,
    refused,
    rest,
    searched,
    spot,
    surface_item,
)

HAND = "Enter what hand, light and mirror found"
WHY = "smoother than the surface about it"


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_surface(house)


def go(open_page: Open, opened: RoundHouse, person: Person | None = None, **query: str) -> AppTest:
    who = person or opened.mechanic
    way = {"item": surface_item(opened).id} if who is opened.mechanic else {"look": surface_item(opened).id}
    return open_page("visit", who, visit=opened.visit.id, **way, **query)


def test_the_item_is_answered_in_one_tap_as_before_and_a_photo_is_offered_beside_it(
    open_page: Open, opened: RoundHouse
) -> None:
    app = go(open_page, opened)
    assert "Nothing wrong" in labels(app) and HAND not in labels(app)
    assert "the item is answered as well without a photo" in said(app)
    press(app, "Nothing wrong")
    mine = opened.use.stop(opened.mechanic, surface_item(opened).id).mine
    assert (mine.finding, mine.text) == (Finding.GOOD, "")


def test_an_item_that_searches_no_photos_offers_none(open_page: Open, opened: RoundHouse) -> None:
    item = surface_item(opened, "hoses").id
    app = open_page("visit", opened.mechanic, visit=opened.visit.id, item=item)
    assert "Go on to the photo" not in labels(app)


def test_a_photo_begins_with_which_surface_it_shows(open_page: Open, opened: RoundHouse) -> None:
    app = press(go(open_page, opened), "Go on to the photo")
    assert "Not done" in said(app)
    app.text_input(key=f"seen-from-{surface_item(opened).id}-0").input("left wall, from below")
    press(app, "Go on to the photo")
    assert address(app, "draft") and "Square to the surface" in said(app)
    assert "nobody under a door or gear that is not pinned" in said(app)


def test_the_region_is_shown_by_corners_and_then_searched(
    open_page: Open, opened: RoundHouse, monkeypatch: pytest.MonkeyPatch
) -> None:
    this = arrived(opened)
    app = go(open_page, opened, draft=this.id)
    assert "Tap two opposite corners" in said(app) and "Search this region" not in labels(app)
    monkeypatch.setattr(
        "app.screens.visit_steps.searches.region.place_some", lambda *_, **more: CORNERS[: more["least"]]
    )
    app = go(open_page, opened, draft=this.id)
    assert "two opposite corners" in said(app)
    press(app, "Search this region")
    kept = opened.use.try_of(opened.mechanic, this.id)
    assert kept.options["region"] == [list(one) for one in CORNERS]
    assert opened.house.jobs.submitted == [this.id]


def test_a_photo_can_be_given_up_and_a_refused_one_says_what_to_do(
    open_page: Open, opened: RoundHouse
) -> None:
    this = arrived(opened)
    press(go(open_page, opened, draft=this.id), "Give this photo up")
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.FAILED
    text = said(go(open_page, opened, draft=searched(opened, refused()).id))
    assert "Not searched" in text and "What to do" in text and "Show the surface on the photo" in text


def test_a_photo_that_shows_nothing_leaves_the_item_as_easy_to_answer_as_before(
    open_page: Open, opened: RoundHouse
) -> None:
    item = surface_item(opened).id
    opened.use.begin_search_try(opened.mechanic, item, "left wall")
    searched(opened, refused())
    opened.use.give_up_photo(opened.mechanic, arrived(opened).id)
    assert "Nothing wrong" in labels(go(open_page, opened))
    marked(opened, searched(opened, found(spot(200.0))))
    assert "Nothing wrong" not in labels(go(open_page, opened))


def test_nothing_that_the_search_gave_is_told_before_ones_own_marking(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(spot(200.0)))
    for query in ({}, {"draft": this.id}, {"draft": this.id, "place": "flag-1"}, {"part": "enter"}):
        text = said(go(open_page, opened, **query))
        assert WHY not in text and "/surfaces/" not in text, query
    app = go(open_page, opened, draft=this.id)
    assert "Look over all of the surface on the bare photo" in said(app)
    text = said(press(app, NONE))
    assert "Place 1 of 1: flag" in text and WHY in text


def test_a_place_is_shown_as_large_as_it_is_and_where_it_lies(open_page: Open, opened: RoundHouse) -> None:
    this = searched(opened, found(spot(200.0), spot(300.0)))
    marked(opened, this)
    app = go(open_page, opened, draft=this.id, place="flag-1")
    text = said(app)
    assert f"/surfaces/{this.id}/photo/flag-1?lines=1" in text and f"/surfaces/{this.id}/where/flag-1" in text
    assert "/hoses/" not in text and "Take a second photo" not in " ".join(one.label for one in app.button)
    offered = [one.label for one in app.button if one.label.startswith("**")]
    assert [one.split("**")[1] for one in offered] == ["Wear", "Reflection", "Dirt", "Fluid", "Cannot tell"]
    assert all(one.proto.type != "primary" for one in app.button if one.label in offered)
    answer(app, "Dirt")
    assert address(app, "place") == "flag-2" and "all" not in " ".join(labels(app)).lower().split()


def test_wear_is_said_with_the_documents_limits_before_ones_eyes_and_opens_a_discrepancy(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    app = answer(go(open_page, opened, draft=this.id, place="flag-1"), "Wear")
    text = said(app)
    assert "Damage limits first" in text and "The surface" in text
    assert "The leg's data do not hold them" in text.replace("&#x27;", "'")
    press(app, "It is wear")
    rest(opened)
    by_hand(opened)
    app = go(open_page, opened, part="enter")
    assert "Damage limits of the surface" in said(app)
    item = surface_item(opened).id
    app.text_input(key=f"limit-in-{item}-").input("structure manual 51-10 rev 4")
    app.text_input(key=f"limit-{item}-").input("Not through the primer.")
    press(app, "Enter: a discrepancy is opened")
    (case,) = opened.use.cases(opened.visit.id)
    assert "Limits by structure manual 51-10 rev 4: Not through the primer." in case.discrepancy.text
    assert surface_item(opened).state is ItemState.DISCREPANCY


def test_what_was_set_aside_stands_with_its_reason_and_is_brought_back(
    open_page: Open, opened: RoundHouse
) -> None:
    aside = spot(500.0, kind="shadow", why="a shadow's edge")
    this = searched(opened, found(spot(200.0), aside=(aside,)))
    marked(opened, this)
    app = answer(go(open_page, opened, draft=this.id, place="flag-1"), "Reflection")
    text = said(app).replace("&#x27;", "'")
    assert address(app, "part") == "aside" and "Shadow" in text and "a shadow's edge" in text
    press(app, "Bring back 1")
    assert "Place 2 of 2: set aside" in said(app)


def test_what_was_not_searched_and_the_hand_are_asked_for_before_anything_is_entered(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    app = go(open_page, opened, part="enter")
    text = said(app)
    assert "say how what the photos did not search of it was inspected" in text
    assert "All of it by hand, mirror and light" in text
    assert not [one for one in labels(app) if one.startswith("Enter")]
    press(app, "Go on with what is missing")
    assert address(app, "part") == "cover"
    text = said(app)
    assert f"/surfaces/{this.id}/region" in text and "80 % of the region shown on it was searched" in text
    type_in(choose(app, "Nothing wrong"), how="light held flat")
    press(app, "Acknowledge for the surface")
    assert "is not ticked: inspect it, or photograph it closer" in said(app)
    press(tick_all(app), "Acknowledge for the surface")
    assert "Inspected instead: light held flat; one by one all of it that lies in no photo" in said(app)
    press(app, "Go on")
    assert address(app, "part") == "hand"
    text = said(app)
    assert "No photo replaces this" in text and "Pits and flaking of chrome" in text
    press(app, HAND)
    assert "Say what you found on all of it" in said(app)
    press(choose(app, "Nothing wrong"), HAND)
    assert "Not done" in said(app)
    type_in(app, all_how="felt, lit from two sides")
    press(app, HAND)
    press(app, "Go on")
    text = said(app)
    assert (
        "Nothing that needs action was found on what was searched" in text and "no wear" not in text.lower()
    )
    press(app, "Enter what was found")
    assert opened.use.stop(opened.mechanic, surface_item(opened).id).answered


def test_what_could_not_be_told_is_told_at_the_surface(open_page: Open, opened: RoundHouse) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", Judged.CANNOT_TELL)
    rest(opened)
    by_hand(opened)
    app = go(open_page, opened, part="hand")
    (finding,) = (one for one in app.radio if one.label == "At the surface, with light and mirror")
    finding.set_value("Nothing wrong")
    type_in(app, settle_words="smooth to the finger")
    press(app, "Enter it")
    assert opened.use.searched_item(opened.mechanic, surface_item(opened).id).finding is Finding.GOOD


def test_the_second_person_judges_alone_looks_himself_and_only_then_sees_both(
    open_page: Open, opened: RoundHouse
) -> None:
    this = entered(opened, Judged.DIRT)
    who = opened.inspector
    for query in ({}, {"draft": this.id}, {"draft": this.id, "place": "flag-1"}, {"part": "enter"}):
        text = said(go(open_page, opened, who, **query))
        assert WHY not in text and "Dirt" not in text and "× " not in text, query
    app = go(open_page, opened, who)
    assert "Then you look at the aircraft yourself" in said(app)
    app = press(go(open_page, opened, who, draft=this.id), NONE)
    answer(app, "Reflection")
    assert address(app, "part") == "hand" and "Your answer" not in said(app)
    type_in(choose(app, "Nothing wrong"), all_how="felt all over")
    press(app, HAND)
    press(app, "Go on")
    assert "Store your judgements" in said(app)
    press(app, "Store: it is not changed afterwards")
    text = said(app)
    assert "<b>Dirt</b>" in text and "<b>Reflection</b>" in text and "Both agree: the item closes." in text
    type_in(app, looks_password=PASSWORD)
    press(app, "Sign 1 second looks")
    assert surface_item(opened).state is ItemState.CLOSED


def test_where_the_photos_did_not_stand_the_hand_is_entered_before_nothing_wrong(
    open_page: Open, opened: RoundHouse
) -> None:
    this = entered(opened, Judged.DIRT)
    who = opened.inspector
    marked(opened, this, person=who)
    judged(opened, this, "flag-1", Judged.CANNOT_TELL, who)
    by_hand(opened, who)
    opened.use.look_at_search(who, surface_item(opened).id)
    batch = opened.use.looks_to_sign(who, opened.visit.id)
    opened.use.sign_looks(who, opened.visit.id, PASSWORD, batch.record_hash)
    app = go(open_page, opened)
    assert "others cannot replace them" in said(app) and "Nothing wrong" not in labels(app)
    type_in(choose(app, "Nothing wrong"), all_how="felt all over")
    press(app, HAND)
    press(app, "Nothing wrong")
    assert opened.use.stop(opened.mechanic, surface_item(opened).id).mine.text.startswith("All of it by hand")
