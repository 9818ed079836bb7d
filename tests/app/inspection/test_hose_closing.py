"""What photos of hoses raised holds the item until two people have judged it, whatever else was found meanwhile."""

import pytest

from app.errors import Conflict
from app.inspection import Item, ItemState, TryState
from app.inspection.rounds.batches import FLAGS_LEFT, TAKEN_BACK
from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_views import BareMark, ShownHose
from tests.app.hose_house import (
    ALONG,
    all_round,
    arrived,
    entered,
    flag,
    found,
    hands,
    hose_item,
    judged,
    looked,
    marked,
    open_hoses,
    searched,
    sign_looks,
)
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse

REFLECTION, DIRT, WEAR = Judged.REFLECTION, Judged.DIRT, Judged.WEAR


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def acted_on(opened: RoundHouse) -> Item:
    """The one discrepancy is acted on, looked at again by two others without a photo, and thereby cleared."""
    (case,) = opened.use.cases(opened.visit.id)
    done = opened.act(case.discrepancy.id)
    again: Item = opened.use.place_of(done.reinspection_id).item
    all_round(opened, again, opened.mechanic_2)
    opened.use.answer(opened.mechanic_2, again.id, GOOD)
    opened.sign_work(opened.mechanic_2)
    opened.look(again)
    return opened.again(again)


def why(opened: RoundHouse) -> list[str]:
    item = hose_item(opened)
    return [one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == item.id]


def test_a_fault_acted_on_does_not_close_an_item_whose_flags_nobody_opened(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0), flag(250.0)))
    opened.use.answer(opened.mechanic, hose_item(opened).id, FAULT)
    opened.sign_work(opened.mechanic)
    assert acted_on(opened).state is ItemState.CLOSED
    assert hose_item(opened).state is ItemState.TO_DO
    assert why(opened) == [
        "Hose shiny spots: searched on photos, and what was judged is not entered",
    ]
    assert opened.use.to_sign(opened.mechanic, opened.visit.id).lines == ()
    marked(opened, this)
    for place in ("flag-1", "flag-2"):
        judged(opened, this, place)
    hands(opened)
    made = opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    looked(opened, this, REFLECTION, DIRT)
    sign_looks(opened)
    assert hose_item(opened).state is ItemState.CLOSED
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.SETTLED
    with opened.house.archive.records.look() as r:
        (between,) = [one for one in r.all(type(made), item_id=made.item_id) if one.text == FLAGS_LEFT]
    assert (made.supersedes, between.signature_id) == (between.id, None)
    assert opened.house.archive.verify().faults == ()


def test_nor_one_whose_photos_only_the_first_person_judged(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION)
    item = hose_item(opened)
    first = opened.use.stop(opened.mechanic, item.id).mine
    opened.use.answer(opened.mechanic, item.id, FAULT, corrects=first.id, reason="felt again")
    opened.sign_work(opened.mechanic)
    acted_on(opened)
    assert hose_item(opened).state is ItemState.TO_DO
    opened.use.enter_search(opened.mechanic, item.id)
    opened.sign_work(opened.mechanic)
    looked(opened, this, REFLECTION)
    sign_looks(opened)
    assert hose_item(opened).state is ItemState.CLOSED


def test_nor_one_where_the_second_person_found_something_at_the_aircraft(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION)
    opened.look(hose_item(opened), FAULT)
    assert opened.use.searched_item(opened.house.inspector_2, hose_item(opened).id).photos[0].places == ()
    acted_on(opened)
    assert hose_item(opened).state is ItemState.TO_DO
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.READ


def test_nor_one_with_a_photo_whose_hoses_are_not_shown_yet(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.answer(opened.mechanic, hose_item(opened).id, FAULT)
    opened.sign_work(opened.mechanic)
    acted_on(opened)
    assert hose_item(opened).state is ItemState.TO_DO
    assert why(opened) == ["Hose shiny spots: which hoses a photo shows is not told"]
    opened.use.give_up_photo(opened.mechanic_2, this.id)
    assert why(opened) == ["Hose shiny spots: not inspected"]


def test_an_answer_that_was_taken_back_is_shown_to_nobody_to_sign(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    hands(opened)
    item = hose_item(opened)
    first = opened.use.enter_search(opened.mechanic, item.id)
    judged(opened, this, "flag-1", DIRT)
    assert opened.use.to_sign(opened.mechanic, opened.visit.id).lines == ()
    with pytest.raises(Conflict, match="nothing for you to sign"):
        opened.sign_work(opened.mechanic)
    again = opened.use.enter_search(opened.mechanic, item.id)
    with opened.house.archive.records.look() as r:
        (between,) = [one for one in r.all(type(first), item_id=item.id) if one.text == TAKEN_BACK]
    assert (between.supersedes, again.supersedes) == (first.id, between.id)
    (line,) = opened.use.to_sign(opened.mechanic, opened.visit.id).lines
    assert line.id == again.id


@pytest.mark.parametrize("by_photo", [True, False])
def test_a_mark_on_a_photo_whose_search_failed_keeps_the_item_open_until_it_is_judged(
    opened: RoundHouse, by_photo: bool
) -> None:
    this, item = arrived(opened), hose_item(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    marked(opened, this, BareMark(200.0, 100.0, "rubbed"))
    opened.use.measuring_failed(this.id, "out of memory")
    if by_photo:
        (place,) = opened.use.searched_item(opened.mechanic, item.id).photos[0].places
        judged(opened, this, place.key, WEAR)
        hands(opened)
        opened.use.enter_search(opened.mechanic, item.id)
    else:
        opened.use.answer(opened.mechanic, item.id, FAULT)
    opened.sign_work(opened.mechanic)
    acted_on(opened)
    assert opened.again(item).state is (ItemState.CLOSED if by_photo else ItemState.TO_DO)
