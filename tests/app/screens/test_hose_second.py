"""The second person at the hoses: on his own, and only then beside the first."""

import pytest

from app.inspection import ItemState
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_views import BareMark
from tests.app.hose_house import (
    all_round,
    entered,
    flag,
    found,
    hands,
    hose_item,
    judged,
    looked,
    marked,
    open_hoses,
    refused,
    searched,
    sign_looks,
)
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import NONE, WHY, go, place
from tests.app.screens.looking import Open, address, labels, press, said, type_in


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def test_the_second_person_meets_bare_photos_and_nothing_of_the_first(
    open_page: Open, opened: RoundHouse
) -> None:
    this = entered(opened, Judged.DIRT, Judged.REFLECTION)
    for query in ({}, {"draft": this.id}, {"draft": this.id, "place": "flag-1"}, {"part": "enter"}):
        text = said(go(open_page, opened, opened.inspector, **query))
        assert WHY not in text and "Dirt" not in text and "× " not in text, query
    app = press(go(open_page, opened, opened.inspector, draft=this.id), NONE)
    text = said(app)
    assert "Place 1 of 2" in text and "Your answer" not in text and "Judged:" not in text


def test_the_second_persons_own_is_stored_then_shown_beside_the_first(
    open_page: Open, opened: RoundHouse
) -> None:
    this = entered(opened, Judged.DIRT)
    marked(opened, this, person=opened.inspector)
    judged(opened, this, "flag-1", Judged.REFLECTION, opened.inspector)
    app = go(open_page, opened, opened.inspector, part="enter")
    press(app, "Store: it is not changed afterwards")
    text = said(app)
    assert "<b>Dirt</b>" in text and "<b>Reflection</b>" in text and "Both agree: the item closes." in text
    type_in(app, looks_password=PASSWORD)
    press(app, "Sign 1 second looks")
    assert hose_item(opened).state is ItemState.CLOSED


@pytest.mark.parametrize("marks", [True, False])
def test_a_photo_that_was_not_searched_is_marked_bare_too_whatever_the_first_one_saw_on_it(
    open_page: Open, opened: RoundHouse, *, marks: bool
) -> None:
    not_searched = searched(opened, refused())
    if marks:
        marked(opened, not_searched, BareMark(300.0, 100.0))
        (mark,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places
        judged(opened, not_searched, mark.key, Judged.DIRT)
    this = entered(opened, Judged.DIRT)
    app = press(go(open_page, opened, opened.inspector), "Begin")
    assert address(app, "draft") == not_searched.id and "What do you see yourself?" in said(app)
    app = press(app, NONE)
    assert "place" in app.query_params if marks else address(app, "draft") == this.id


def test_a_second_look_that_is_stored_is_not_asked_for_again(open_page: Open, opened: RoundHouse) -> None:
    looked(opened, entered(opened, Judged.DIRT), Judged.DIRT)
    text = said(go(open_page, opened, opened.inspector))
    assert "it waits for your signature" in text


def test_a_first_persons_mark_is_judged_by_the_second_without_its_words(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found())
    marked(opened, this, BareMark(300.0, 100.0, "rubbed bright"))
    mine = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places[0]
    assert "your mark, rubbed bright" in said(place(open_page, opened, this, mine.key))
    judged(opened, this, mine.key, Judged.DIRT)
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    text = said(place(open_page, opened, this, mine.key, opened.inspector))
    assert "marked on brake" in text and "rubbed bright" not in text and "your mark" not in text


def test_what_was_judged_on_photos_is_signed_as_that_and_not_as_nothing_wrong(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    pages = [
        open_page("visit", opened.mechanic, visit=opened.visit.id, step="sign"),
        go(open_page, opened),
        open_page(
            "visit", opened.mechanic, visit=opened.visit.id,
            leg=hose_item(opened).leg_id, after=hose_item(opened).id,
        ),
    ]  # fmt: skip
    opened.sign_work(opened.mechanic)
    looked(opened, this, Judged.DIRT)
    pages.append(open_page("visit", opened.inspector, visit=opened.visit.id, step="second"))
    for number, page in enumerate(pages):
        text = said(page)
        assert "Judged on photos" in text, number
        assert not any(f"{before}Nothing wrong" in text for before in ("<b>", "answer: ")), number
    assert "First answer: Judged on photos, Nothing that needs action" in text


def test_what_the_second_cannot_tell_is_told_as_such_and_who_does_what_then(
    open_page: Open, opened: RoundHouse
) -> None:
    looked(opened, entered(opened, Judged.DIRT), Judged.CANNOT_TELL)
    text = said(open_page("visit", opened.inspector, visit=opened.visit.id, step="second"))
    assert "Cannot be told from the photos: both look by hand and mirror" in text
    assert "It cannot be told from the photos: both look by hand and mirror, and answer anew." in text
    assert "better instrument" not in text and "The answers differ" not in text


def test_each_person_is_told_until_when_a_judgement_can_be_changed(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    text = said(place(open_page, opened, this, "flag-1"))
    assert "It can be changed until it is signed, or is entered as something wrong." in text
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    judged(opened, this, "flag-1", Judged.WEAR, opened.inspector)
    text = said(place(open_page, opened, this, "flag-1", opened.inspector))
    assert "It can be changed until you store your judgements." in text and "until it is signed" not in text


def test_who_took_one_of_the_photos_is_told_why_he_is_not_the_second(
    open_page: Open, opened: RoundHouse
) -> None:
    both = opened.house.inspector_2
    marked(opened, searched(opened, found(), both))
    entered(opened, Judged.DIRT)
    assert "You photographed these hoses yourself" in said(go(open_page, opened, both))


def test_a_photo_that_was_begun_and_never_taken_is_in_nobodys_way(
    open_page: Open, opened: RoundHouse
) -> None:
    opened.use.begin_search_try(opened.mechanic_2, hose_item(opened).id, "front")
    this = entered(opened, Judged.DIRT)
    app = press(go(open_page, opened, opened.inspector), "Begin")
    assert address(app, "draft") == this.id and NONE in labels(app)


def test_what_the_second_could_not_tell_is_looked_at_by_hand_and_the_page_says_so(
    open_page: Open, opened: RoundHouse
) -> None:
    looked(opened, entered(opened, Judged.DIRT), Judged.CANNOT_TELL)
    sign_looks(opened)
    app = go(open_page, opened)
    assert "both look by hand and mirror" in said(app)
    assert not {"Go on", "Nothing wrong", "Go on to the photo"} & set(labels(app))
    all_round(opened)
    press(go(open_page, opened), "Nothing wrong")
    assert opened.use.stop(opened.mechanic, hose_item(opened).id).answered
