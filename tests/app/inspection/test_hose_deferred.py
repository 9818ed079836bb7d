"""A fault that is put off puts off no photo beside it: two people judge what it raised before the sign-off."""

from dataclasses import replace

import pytest

from app.errors import Conflict
from app.inspection import Discrepancy, DiscrepancyState, ItemState, TryState
from app.inspection.rounds.batches import DEFERRED_LEFT
from app.inspection.rounds.model import Answer, Finding, Judged
from tests.app.hose_house import (
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
LEFT = "Hose shiny spots: searched on photos, and what was judged is not entered"


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def faulty(opened: RoundHouse) -> Discrepancy:
    """A fault found beside the photos, entered and signed; its discrepancy."""
    opened.use.answer(opened.mechanic, hose_item(opened).id, FAULT)
    opened.sign_work(opened.mechanic)
    return opened.use.cases(opened.visit.id)[-1].discrepancy


def why(opened: RoundHouse) -> list[str]:
    item = hose_item(opened)
    return [one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == item.id]


def judge(opened: RoundHouse, this, first: Judged, second: Judged | None) -> None:  # type: ignore[no-untyped-def]
    marked(opened, this)
    judged(opened, this, "flag-1", first)
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    if second is not None:
        looked(opened, this, second)
        sign_looks(opened)


def test_a_deferral_opens_the_item_again_for_its_photos_and_it_is_named_until_two_have_judged(
    opened: RoundHouse,
) -> None:
    this = searched(opened, found(flag(150.0)))
    fault = faulty(opened)
    assert opened.use.opened_by_deferral(opened.visit.id, fault.id) == ("Hose shiny spots",)
    opened.defer(fault.id)
    assert hose_item(opened).state is ItemState.TO_DO
    assert why(opened) == [LEFT]
    with pytest.raises(Conflict, match="each flag is to be judged"):
        all_round(opened)
        opened.use.answer(opened.mechanic, hose_item(opened).id, GOOD)
    judge(opened, this, REFLECTION, None)
    assert why(opened) == ["Hose shiny spots: waits for its second look"]
    looked(opened, this, DIRT)
    sign_looks(opened)
    assert why(opened) == []
    assert hose_item(opened).state is ItemState.DISCREPANCY  # the fault stands, put off
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.state is DiscrepancyState.DEFERRED
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.SETTLED
    with opened.house.archive.records.look() as r:
        (between,) = [one for one in r.all(Answer, item_id=this.item_id) if one.text == DEFERRED_LEFT]
    assert (between.finding, between.signature_id) == (Finding.UNDECIDED, None)
    assert opened.use.to_sign(opened.mechanic, opened.visit.id).lines == ()
    assert opened.house.archive.verify().faults == ()


def test_what_the_photos_raised_becomes_a_discrepancy_beside_the_one_that_is_deferred(
    opened: RoundHouse,
) -> None:
    this = searched(opened, found(flag(150.0)))
    opened.defer(faulty(opened).id)
    judge(opened, this, WEAR, None)
    states = [one.discrepancy.state for one in opened.use.cases(opened.visit.id)]
    assert sorted(states) == [DiscrepancyState.DEFERRED, DiscrepancyState.OPEN]
    assert any("discrepancy open" in one.what for one in opened.use.gaps(opened.visit.id))


def test_a_deferral_whose_photos_two_people_have_judged_changes_nothing_on_the_item(
    opened: RoundHouse,
) -> None:
    entered(opened, WEAR)
    (case,) = opened.use.cases(opened.visit.id)
    assert opened.use.opened_by_deferral(opened.visit.id, case.discrepancy.id) == ()
    opened.defer(case.discrepancy.id)
    assert (hose_item(opened).state, why(opened)) == (ItemState.DISCREPANCY, [])


def test_what_was_found_is_signed_before_it_is_deferred_where_photos_are_left(opened: RoundHouse) -> None:
    searched(opened, found(flag(150.0)))
    opened.use.answer(opened.mechanic, hose_item(opened).id, FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    with pytest.raises(Conflict, match="What was found is not signed: have it signed, then defer it"):
        opened.defer(case.discrepancy.id)
    assert opened.use.cases(opened.visit.id)[0].discrepancy.state is DiscrepancyState.OPEN


def test_a_photo_whose_hoses_are_not_shown_is_named_after_the_deferral_too(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.defer(faulty(opened).id)
    assert why(opened) == ["Hose shiny spots: which hoses a photo shows is not told"]
    opened.use.give_up_photo(opened.mechanic_2, this.id)
    assert why(opened) == ["Hose shiny spots: not inspected"]


def test_the_fault_acted_on_after_all_closes_the_item_that_was_judged_beside_it(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    fault = faulty(opened)
    opened.defer(fault.id)
    judge(opened, this, REFLECTION, REFLECTION)
    done = opened.act(fault.id)
    again = opened.use.place_of(done.reinspection_id).item
    all_round(opened, again, opened.mechanic_2)
    opened.use.answer(opened.mechanic_2, again.id, GOOD)
    opened.sign_work(opened.mechanic_2)
    opened.look(again)
    assert hose_item(opened).state is ItemState.CLOSED
    assert opened.use.cases(opened.visit.id)[0].discrepancy.state is DiscrepancyState.CLEARED


def test_photos_passed_by_in_an_archive_of_before_are_named_too(opened: RoundHouse) -> None:
    searched(opened, found(flag(150.0)))
    fault = faulty(opened)
    with opened.house.archive.records.begin() as work:
        work.enter("deferred", None, opened.visit.id, replace(fault, state=DiscrepancyState.DEFERRED))
    assert why(opened) == [
        "Hose shiny spots: photos of it raised what two people have not judged: act on its discrepancy"
    ]
