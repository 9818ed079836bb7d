"""The second person at the hoses: on his own, and only then beside the first."""

import pytest

from app.inspection import ItemState
from app.inspection.rounds.hose_views import BareMark
from app.inspection.rounds.model import Judged
from tests.app.hose_house import (
    entered,
    found,
    hands,
    hose_item,
    judged,
    looked,
    marked,
    open_hoses,
    searched,
)
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.screens.hose_way import NONE, WHY, go, place
from tests.app.screens.looking import Open, press, said, type_in


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


def test_a_second_look_that_is_stored_is_not_asked_for_again(open_page: Open, opened: RoundHouse) -> None:
    looked(opened, entered(opened, Judged.DIRT), Judged.DIRT)
    text = said(go(open_page, opened, opened.inspector))
    assert "it waits for your signature" in text


def test_a_first_persons_mark_is_judged_by_the_second_without_its_words(
    open_page: Open, opened: RoundHouse
) -> None:
    this = searched(opened, found())
    marked(opened, this, BareMark(300.0, 100.0, "rubbed bright"))
    mine = opened.use.hose_item(opened.mechanic, hose_item(opened).id).photos[0].places[0]
    assert "your mark, rubbed bright" in said(place(open_page, opened, this, mine.key))
    judged(opened, this, mine.key, Judged.DIRT)
    hands(opened)
    opened.use.enter_hoses(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    text = said(place(open_page, opened, this, mine.key, opened.inspector))
    assert "marked on brake" in text and "rubbed bright" not in text and "your mark" not in text
