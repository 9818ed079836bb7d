"""What a person found wrong beside or on a searched photo is never passed by with "nothing wrong"."""

from typing import Any

import pytest

from app.errors import Conflict
from app.inspection import Item, ItemState, Try
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, Judged, SequenceKind
from app.inspection.rounds.search_views import BareMark
from tests.app import hose_house, surface_house
from tests.app.hose_house import all_round, course, hose_item, judged, marked, open_hoses
from tests.app.records_house import House
from tests.app.rounds_house import GOOD, RoundHouse
from tests.app.surface_house import BY_HAND, by_hand, open_surface, surface_item

WEAR, FLUID, DIRT = Judged.WEAR, Judged.FLUID, Judged.DIRT
NOT_FITTED = ByEye(Finding.NOT_FITTED, "none on this leg")
ON_PHOTOS = "each flag is to be judged: go to the photos"
KINDS = pytest.mark.parametrize("kind", ["hoses", "surface"])


def opened_with(house: House, kind: str) -> RoundHouse:
    return open_hoses(house) if kind == "hoses" else open_surface(house)


def item_of(opened: RoundHouse, kind: str) -> Item:
    return hose_item(opened) if kind == "hoses" else surface_item(opened)


def barely_searched(opened: RoundHouse, kind: str) -> Try:
    """A photo of which nothing counts as searched, without a flag and with one place set aside."""
    if kind == "hoses":
        aside = hose_house.flag(200.0, kind="sun", why="in the sun")
        told = hose_house.found(aside=(aside,), hoses=[course(share=0.0)])
        return hose_house.searched(opened, told)
    aside = surface_house.spot(300.0, kind="shadow", why="a shadow's edge")
    return surface_house.searched(opened, surface_house.found(aside=(aside,), share=0.0))


def not_searched(opened: RoundHouse, kind: str) -> Try:
    """A photo whose search was refused."""
    if kind == "hoses":
        return hose_house.searched(opened, hose_house.refused())
    return surface_house.searched(opened, surface_house.refused())


def hand(opened: RoundHouse, kind: str) -> None:
    """All round by hand, mirror and light; nothing to act on found."""
    if kind == "hoses":
        all_round(opened)
    else:
        by_hand(opened)


def beside(opened: RoundHouse, kind: str, finding: Finding, words: str = "", **more: Any) -> None:
    """What the photos did not search, by hand."""
    hose = "brake" if kind == "hoses" else ""
    opened.use.acknowledge(
        opened.mechanic, item_of(opened, kind).id, hose, "felt all over", finding, words, **more
    )


@KINDS
@pytest.mark.parametrize(("as_", "leak"), [(WEAR, False), (FLUID, True)])
def test_what_was_brought_back_from_a_photo_that_searched_nothing_is_not_passed_by(
    house: House, kind: str, as_: Judged, leak: bool
) -> None:
    opened = opened_with(house, kind)
    this = barely_searched(opened, kind)
    marked(opened, this)
    judged(opened, this, "aside-1", as_)
    hand(opened, kind)
    for given in (GOOD, NOT_FITTED):
        with pytest.raises(Conflict, match=ON_PHOTOS):
            opened.use.answer(opened.mechanic, item_of(opened, kind).id, given)
    beside(opened, kind, Finding.GOOD)
    opened.use.enter_search(opened.mechanic, item_of(opened, kind).id)
    assert item_of(opened, kind).state is ItemState.DISCREPANCY
    (case,) = opened.use.cases(opened.visit.id)
    assert f"{as_.value}: " in case.discrepancy.text and (case.sequence is not None) is leak


@KINDS
def test_such_a_photo_with_nothing_brought_back_leaves_the_ordinary_answer(house: House, kind: str) -> None:
    opened = opened_with(house, kind)
    marked(opened, barely_searched(opened, kind))
    hand(opened, kind)
    opened.use.answer(opened.mechanic, item_of(opened, kind).id, GOOD)


@KINDS
def test_what_was_brought_back_is_still_judged_by_two_after_another_fault_is_acted_on(
    house: House, kind: str
) -> None:
    opened = opened_with(house, kind)
    item, this = item_of(opened, kind), barely_searched(opened, kind)
    marked(opened, this)
    judged(opened, this, "aside-1", WEAR)
    opened.use.answer(opened.mechanic, item.id, ByEye(Finding.FAULT, "a clip is missing"))
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    again = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    if kind == "hoses":
        all_round(opened, again, opened.mechanic_2)
    opened.use.answer(opened.mechanic_2, again.id, GOOD)
    opened.sign_work(opened.mechanic_2)
    opened.look(again)
    assert opened.again(item).state is ItemState.TO_DO
    assert item.id in {one.item_id for one in opened.use.gaps(opened.visit.id)}


@KINDS
def test_nothing_is_judged_on_photos_under_an_answer_that_was_given_without_them(
    house: House, kind: str
) -> None:
    opened = opened_with(house, kind)
    this, other = barely_searched(opened, kind), not_searched(opened, kind)
    marked(opened, this)
    hand(opened, kind)
    opened.use.answer(opened.mechanic, item_of(opened, kind).id, GOOD)
    for is_signed in (False, True):
        if is_signed:
            opened.sign_work(opened.mechanic)
        with pytest.raises(Conflict, match="You answered this without photos"):
            opened.use.open_place(opened.mechanic, this.id, "aside-1")
        with pytest.raises(Conflict, match="You answered this without photos"):
            marked(opened, other, BareMark(200.0, 300.0))
    with pytest.raises(Conflict, match="This was not answered with photos"):
        marked(opened, this, BareMark(200.0, 300.0), person=opened.inspector)


@KINDS
@pytest.mark.parametrize("wet", [False, True])
def test_a_fault_by_hand_beside_a_refused_photo_is_not_passed_by(house: House, kind: str, wet: bool) -> None:
    opened = opened_with(house, kind)
    item = item_of(opened, kind)
    not_searched(opened, kind)
    beside(opened, kind, Finding.FAULT, "oil runs down from the seal", wet=wet)
    found = "wet, oil runs down from the seal" if wet else "oil runs down from the seal"
    for given in (GOOD, NOT_FITTED):
        with pytest.raises(Conflict, match=rf"{found}\): open a discrepancy for it"):
            opened.use.answer(opened.mechanic, item.id, given)
    opened.use.answer(opened.mechanic, item.id, ByEye(Finding.FAULT, "oil below the seal"))
    (case,) = opened.use.cases(opened.visit.id)
    assert (case.sequence is not None and case.sequence.kind is SequenceKind.LEAK) is wet


def test_a_fault_on_all_of_a_surface_by_hand_is_not_passed_by_without_a_photo(house: House) -> None:
    opened = open_surface(house)
    by_hand(opened, finding=Finding.FAULT)
    item = surface_item(opened)
    with pytest.raises(Conflict, match=r"something wrong \(a ridge can be felt\): open a discrepancy for it"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    by_hand(opened)  # entered by mistake, and anew
    opened.use.answer(opened.mechanic, item.id, GOOD)


@KINDS
def test_a_fault_found_at_a_place_by_hand_is_not_passed_by(house: House, kind: str) -> None:
    opened = opened_with(house, kind)
    this = barely_searched(opened, kind)
    marked(opened, this)
    judged(opened, this, "aside-1", Judged.CANNOT_TELL)
    opened.use.settle_by_hand(opened.mechanic, this.id, "aside-1", Finding.FAULT, "a cut")
    hand(opened, kind)
    with pytest.raises(Conflict, match=ON_PHOTOS):
        opened.use.answer(opened.mechanic, item_of(opened, kind).id, GOOD)


@KINDS
def test_what_another_persons_hand_found_is_not_passed_by_either(house: House, kind: str) -> None:
    opened = opened_with(house, kind)
    beside(opened, kind, Finding.FAULT, "a deep scratch")
    who, item = opened.mechanic_2, item_of(opened, kind)
    if kind == "hoses":
        all_round(opened, person=who)
    with pytest.raises(Conflict, match=r"another person found something wrong \(a deep scratch\)"):
        opened.use.answer(who, item.id, GOOD)


def test_no_fault_by_hand_slips_in_under_an_answer_that_says_nothing_is_wrong(house: House) -> None:
    opened = open_surface(house)
    item = surface_item(opened)
    made = opened.use.answer(opened.mechanic, item.id, GOOD)
    for is_signed in (False, True):
        if is_signed:
            opened.sign_work(opened.mechanic)
        with pytest.raises(Conflict, match="correct it and say why"):
            opened.use.all_by_hand(opened.mechanic, item.id, BY_HAND, Finding.FAULT, "oil", wet=True)
    opened.use.answer(
        opened.mechanic, item.id, ByEye(Finding.FAULT, "oil"), corrects=made.id, reason="looked again"
    )
    assert surface_item(opened).state is ItemState.DISCREPANCY


def test_no_fault_by_hand_slips_in_under_hoses_that_are_not_fitted(house: House) -> None:
    opened = open_hoses(house)
    item = hose_item(opened)
    opened.use.answer(opened.mechanic, item.id, NOT_FITTED)
    with pytest.raises(Conflict, match="correct it and say why"):
        opened.use.hand_light(opened.mechanic, item.id, "open", "none", Finding.FAULT, "oil", wet=True)
