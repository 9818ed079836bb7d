"""What follows from hoses judged on photos: the record of the visit, the re-inspection, the correction."""

from typing import Any

import pytest

from app.errors import Conflict
from app.inspection import DiscrepancyState, ItemState
from app.inspection.rounds.model import Finding, Judged, SequenceKind
from app.inspection.rounds.record_sight import WITHHELD
from app.inspection.rounds.search_views import ShownHose
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    all_round,
    course,
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
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse

REFLECTION, DIRT, WEAR, FLUID = Judged.REFLECTION, Judged.DIRT, Judged.WEAR, Judged.FLUID


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def told(opened: RoundHouse) -> dict[str, Any]:
    """The item with the photos as the record of its visit holds it."""
    items = [one for leg in opened.use.record(opened.visit.id)["legs"] for one in leg["items"]]
    (found,) = (one for one in items if one["id"] == hose_item(opened).id)
    return dict(found)


def test_the_record_of_an_open_visit_tells_no_judgement_before_the_second_look(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION, DIRT)
    (answer,) = told(opened)["answers"]
    assert (answer["finding"], answer["text"], answer["reading"]) == ("withheld", WITHHELD, None)
    assert "reflection" not in str(told(opened))
    looked(opened, this, DIRT, REFLECTION)
    assert told(opened)["answers"] == [answer]
    sign_looks(opened)
    (answer,) = told(opened)["answers"]
    assert "1 × reflection, 1 × dirt" in answer["text"]
    assert [one["judged"] for one in answer["reading"]["judged"]] == ["reflection", "dirt"]
    assert told(opened)["tries"][0]["result"] is not None


def test_nor_while_a_fault_beside_them_is_acted_on_and_the_fault_itself_is_told(opened: RoundHouse) -> None:
    entered(opened, REFLECTION)
    item = hose_item(opened)
    first = opened.use.stop(opened.mechanic, item.id).mine
    opened.use.answer(opened.mechanic, item.id, FAULT, corrects=first.id, reason="felt again")
    opened.sign_work(opened.mechanic)
    assert [one["text"] for one in told(opened)["answers"]] == [WITHHELD, FAULT.text]
    assert told(opened)["tries"][0]["result"] is None


def test_what_a_re_inspection_finds_beside_its_discrepancy_is_one_of_its_own(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", WEAR)
    hands(opened, "brake", "lock")
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    again = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    both = [course(), course("lock", 400.0)]
    begun = opened.use.begin_search_try(opened.mechanic, again.id, "front")
    opened.use.photo_arrived(opened.mechanic, begun.id, b"another photo", "IMG_8.jpg")
    opened.use.show_hoses(opened.mechanic, begun.id, [ShownHose("brake", ALONG)])
    opened.use.measured(begun.id, found(flag(150.0), flag(250.0), flag(150.0, hose=1), hoses=both))
    marked(opened, begun)
    for place, as_ in (("flag-1", WEAR), ("flag-2", FLUID), ("flag-3", WEAR)):
        judged(opened, begun, place, as_)
    hands(opened, "brake", "lock", item=again)
    opened.use.enter_search(opened.mechanic, again.id)
    cases = opened.use.cases(opened.visit.id)
    said = [(one.discrepancy.place, one.discrepancy.state, one.sequence is not None) for one in cases]
    brake, lock, is_open = "tail leg, hose brake", "tail leg, hose lock", DiscrepancyState.OPEN
    assert sorted(said) == [(brake, is_open, False), (brake, is_open, True), (lock, is_open, False)]
    (leak,) = (one for one in cases if one.sequence is not None)
    assert leak.sequence is not None and leak.sequence.kind is SequenceKind.LEAK
    assert "Hose brake, fluid" in leak.discrepancy.text
    assert {one.discrepancy.item_id for one in cases} == {hose_item(opened).id}
    assert house.archive.verify().faults == ()


def test_after_the_sign_off_one_answer_does_not_replace_what_was_judged_on_photos(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION)
    looked(opened, this, DIRT)
    sign_looks(opened)
    for item in opened.use.items(opened.visit.id):
        if item.state is ItemState.TO_DO:
            if item.key == "hose_shiny_spots":
                all_round(opened, item)
            opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.sign_work(opened.mechanic)
    for item in opened.use.to_look_at(opened.inspector, opened.visit.id):
        opened.use.look(opened.inspector, item.id, GOOD)
    sign_looks(opened)
    opened.whole()
    first = opened.use.stop(opened.mechanic, hose_item(opened).id).mine
    correction = (opened.mechanic, first.id)
    with pytest.raises(Conflict, match="What was judged on photos stays, place by place"):
        opened.use.propose_correction(*correction, GOOD, "by eye it is good, too")
    seen = opened.use.propose_correction(*correction, FAULT, "felt again").record_hash
    opened.use.correct(*correction, FAULT, "felt again", PASSWORD, seen)
    assert hose_item(opened).state is ItemState.DISCREPANCY


def test_what_hands_find_wet_at_a_re_inspection_is_a_leak_of_its_own(opened: RoundHouse) -> None:
    entered(opened, WEAR)
    (case,) = opened.use.cases(opened.visit.id)
    again = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    told = ("open", "none", Finding.FAULT, "wet at its end")
    opened.use.hand_light(opened.mechanic_2, again.id, *told, wet=True)
    opened.use.answer(opened.mechanic_2, again.id, FAULT)
    cases = opened.use.cases(opened.visit.id)
    assert sorted(one.sequence is not None for one in cases) == [False, True]
    assert {one.discrepancy.state for one in cases} == {DiscrepancyState.OPEN}
    assert {one.discrepancy.item_id for one in cases} == {hose_item(opened).id}
