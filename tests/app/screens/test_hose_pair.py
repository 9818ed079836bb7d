"""The second photo's screens: offered beside a flag and never in the way, what moved shown with its reason."""

import pytest
from streamlit.testing.v1 import AppTest

from app.inspection import Try
from app.inspection.rounds.model import Judged
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    MOVED,
    course,
    flag,
    found,
    hands,
    held_against,
    hose_item,
    judged,
    marked,
    open_hoses,
    refused,
    searched,
    second_shown,
)
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import answer, go, place
from tests.app.screens.looking import Open, address, labels, press, said

OFFER = "May be a reflection? Take a second photo"


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


@pytest.fixture
def first(opened: RoundHouse) -> Try:
    this = searched(opened, found(flag(150.0), flag(400.0)))
    marked(opened, this)
    return this


def offers(app: AppTest) -> int:
    return sum(one.label == OFFER for one in app.button)


def test_it_is_offered_beside_a_flag_and_what_it_asks_is_said_before_it_begins(
    open_page: Open, opened: RoundHouse, first: Try
) -> None:
    app = press(place(open_page, opened, first, "flag-1"), OFFER)
    text = said(app)
    assert "Move the phone 100 mm or more along the hose" in text
    assert "A flash does not replace the move; use one only where local rules allow it." in text
    press(app, "Take the second photo")
    (photo,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos
    assert address(app, "draft") == photo.seconds[0].try_.id
    assert "100 mm or more along the hose" in said(app)


def test_it_is_forced_on_nobody(open_page: Open, opened: RoundHouse, first: Try) -> None:
    app = place(open_page, opened, first, "flag-1")
    answer(app, "Reflection")
    assert address(app, "place") == "flag-2" and offers(app) == 1
    answer(app, "Dirt")
    assert "draft" not in app.query_params or not offers(app)
    assert offers(go(open_page, opened, draft=first.id)) == 0


def test_the_second_person_is_offered_none(open_page: Open, opened: RoundHouse, first: Try) -> None:
    for key in ("flag-1", "flag-2"):
        judged(opened, first, key)
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    marked(opened, first, person=opened.inspector)
    assert offers(place(open_page, opened, first, "flag-1", opened.inspector)) == 0
    text = said(go(open_page, opened, opened.inspector, draft=first.id, part="pair"))
    assert "Move the phone" not in text and "To the places of this photo" in text


def test_only_hoses_of_the_first_photo_are_shown_on_it_and_it_can_be_given_up(
    open_page: Open, house: House
) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = searched(opened, found(flag(150.0), hoses=[course("brake")]))
    marked(opened, this)
    begun = opened.use.begin_second_photo(opened.mechanic, this.id)
    opened.use.photo_arrived(opened.mechanic, begun.id, b"second", "IMG_8.jpg")
    app = go(open_page, opened, draft=begun.id)
    assert not list(app.radio)  # the one hose on it needs no choosing
    assert "what is not shown stays as it is" in said(app)
    assert "On photo 1 brake was shown from the left: begin at the same end." in said(app)
    app.session_state["hoses-shown"] = {begun.id: {"brake": ALONG[:2]}}
    app.run()
    assert "too few" not in said(app)
    press(app, "Compare with photo 1")
    assert opened.house.jobs.submitted == [begun.id]
    assert "Both photos are compared" in said(app)
    assert "which hoses" not in " ".join(opened.use.searched_item(opened.mechanic, this.item_id).locks)


def test_what_moved_is_shown_with_its_reason_and_each_can_be_brought_back(
    open_page: Open, opened: RoundHouse, first: Try
) -> None:
    second = held_against(opened, first, 2)
    app = go(open_page, opened, draft=second.id)
    text = said(app)
    assert "Set aside by the second photo: 1" in text and MOVED in text
    assert "true wear be among them" in text
    press(app, "Bring back flag 2")
    assert "Place 2 of 2: set aside on brake" in said(app) and MOVED in said(app)
    answer(app, "Wear")
    press(app, "It is wear")
    photo = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0]
    assert [(one.key, one.judged) for one in photo.places] == [("flag-1", None), ("slides-2", Judged.WEAR)]


def test_after_it_the_way_goes_on_to_what_is_left(open_page: Open, opened: RoundHouse, first: Try) -> None:
    second = held_against(opened, first, 1)
    app = press(go(open_page, opened, draft=second.id), "Go on")
    assert address(app, "place") == "flag-2" and "Place 1 of 1" in said(app)
    assert offers(app) == 0
    overview = go(open_page, opened)
    assert "Photo 2, held against photo 1: compared" in [one.label for one in overview.button]


def test_too_little_shift_is_refused_with_the_remedy_and_nothing_has_changed(
    open_page: Open, opened: RoundHouse, first: Try
) -> None:
    second = second_shown(opened, first)
    opened.use.measured(second.id, refused())
    app = go(open_page, opened, draft=second.id)
    text = said(app)
    assert "Not compared" in text and "What to do" in text and "Nothing of photo 1 has changed." in text
    assert "Judge without it" in labels(app)
    press(app, "Take the second photo again")
    assert "Not compared:" in said(app)
    press(app, "Take the second photo")
    (photo,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos
    assert [one.step for one in photo.seconds] == ["refused", "photo"]
