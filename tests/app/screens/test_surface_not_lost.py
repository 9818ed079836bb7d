"""What was found wrong beside a photo that searched little or nothing leads on to being entered as wrong."""

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import ItemState
from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_views import BareMark
from tests.app.hose_house import marked
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import answer, choose
from tests.app.screens.looking import Open, address, labels, press, said
from tests.app.surface_house import by_hand, found, open_surface, refused, rest, searched, spot, surface_item


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_surface(house)


def go(open_page: Open, opened: RoundHouse, **query: str) -> AppTest:
    item = surface_item(opened).id
    return open_page("visit", opened.mechanic, visit=opened.visit.id, item=item, **query)


def test_a_fault_entered_beside_a_refused_photo_is_not_followed_by_nothing_wrong(
    open_page: Open, opened: RoundHouse
) -> None:
    searched(opened, refused())
    item = surface_item(opened)
    assert "Nothing wrong" in labels(go(open_page, opened))
    opened.use.acknowledge(
        opened.mechanic, item.id, "", "felt", Finding.FAULT, "wet below the seal", wet=True
    )
    app = go(open_page, opened)
    assert "By hand something wrong was found" in said(app)
    assert "Nothing wrong" not in labels(app) and "Open a discrepancy" in labels(app)
    rest(opened)
    assert "Nothing wrong" in labels(go(open_page, opened))


def test_wear_brought_back_on_a_photo_that_searched_nothing_leads_on_to_its_discrepancy(
    open_page: Open, opened: RoundHouse
) -> None:
    aside = (spot(300.0, kind="shadow", why="a shadow's edge"), spot(500.0, kind="shadow", why="another"))
    this = searched(opened, found(aside=aside, share=0.0))
    marked(opened, this)
    app = press(go(open_page, opened, draft=this.id, part="aside"), "Bring back 1")
    answer(app, "Wear")
    press(app, "It is wear")
    press(app, "Leave the others set aside")
    assert address(app, "part") == "cover"
    rest(opened)
    by_hand(opened)
    press(go(open_page, opened), "Go on")
    app = go(open_page, opened, part="enter")
    press(app, "Enter: a discrepancy is opened")
    assert surface_item(opened).state is ItemState.DISCREPANCY
    (case,) = opened.use.cases(opened.visit.id)
    assert "wear: inner wall, left, photo 1, place 1" in case.discrepancy.text


def test_what_another_hand_found_is_shown_and_answered_where_the_photos_are_entered(
    open_page: Open, opened: RoundHouse
) -> None:
    item, this = surface_item(opened).id, searched(opened, found())
    opened.use.acknowledge(opened.mechanic_2, item, "", "felt", Finding.FAULT, "a deep scratch")
    marked(opened, this)
    rest(opened)
    by_hand(opened)
    app = go(open_page, opened, part="enter")
    assert "By hand another person found" in said(app) and "a deep scratch" in said(app)
    (asked,) = (one for one in app.radio if one.label == "What do you take it for?")
    assert asked.value is None
    press(app, "Enter: a discrepancy is opened")
    assert "nobody has answered it: say whether it is wear or fluid" in said(app)
    choose(app, "Fluid: wet: the leak's steps begin")
    press(app, "Enter: a discrepancy is opened")
    (case,) = opened.use.cases(opened.visit.id)
    assert "by another person's hand, fluid: a deep scratch" in case.discrepancy.text and case.sequence


def test_before_his_own_marks_a_colleague_sees_no_difference_on_a_photo_that_was_not_searched(
    open_page: Open, opened: RoundHouse
) -> None:
    seen = []
    this, item = searched(opened, refused()), surface_item(opened).id
    for marks in ([], [BareMark(200.0, 300.0, "scuffed by the lid")]):
        if marks:
            marked(opened, this, *marks)
        app = open_page("visit", opened.inspector, visit=opened.visit.id, item=item)
        seen.append(said(app))
        assert "not marked yet" in said(app) and "scuffed by the lid" not in said(app)
        seen.append(
            said(open_page("visit", opened.inspector, visit=opened.visit.id, item=item, draft=this.id))
        )
        assert "What do you see yourself?" in seen[-1]
    assert seen[:2] == seen[2:]
