"""What another person's hand found wrong is answered by whoever closes the item on photos."""

import pytest

from app.errors import Conflict, UsageError
from app.inspection import ItemState, Person
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, HandEntry, Judged
from tests.app import hose_house, surface_house
from tests.app.hose_house import hands, judged, marked, sign_looks
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.surface_house import BY_HAND, by_hand, looked, open_surface, rest, surface_item

from .test_search_nothing_lost import KINDS, item_of, opened_with

WRONG = r"another person found something wrong \(a deep scratch\), and nobody has answered it"
DIRT = Judged.DIRT


def found_by_hand(opened: RoundHouse, kind: str, person: Person, *, wet: bool = False) -> HandEntry:
    """What the photos did not search, gone over by a person who finds something wrong and answers nothing."""
    hose, words = ("brake" if kind == "hoses" else ""), "a deep scratch"
    made: HandEntry = opened.use.acknowledge(
        person, item_of(opened, kind).id, hose, "felt all over", Finding.FAULT, words, wet=wet
    )
    return made


def judged_on_photos(opened: RoundHouse, kind: str) -> None:
    """All that the mechanic has to do before he enters the item, and nothing wrong in it."""
    of = hose_house if kind == "hoses" else surface_house
    flag = hose_house.flag(150.0) if kind == "hoses" else surface_house.spot(150.0)
    this = of.searched(opened, of.found(flag))
    marked(opened, this)
    judged(opened, this, "flag-1", DIRT)
    if kind == "hoses":
        hands(opened)
    else:
        rest(opened)
        by_hand(opened)


@KINDS
@pytest.mark.parametrize(("as_", "leak"), [(Judged.WEAR, False), (Judged.FLUID, True)])
def test_the_photos_do_not_close_the_item_before_it_is_answered(
    house: House, kind: str, as_: Judged, leak: bool
) -> None:
    opened = opened_with(house, kind)
    item, who = item_of(opened, kind), opened.mechanic
    hand = found_by_hand(opened, kind, opened.mechanic_2)
    judged_on_photos(opened, kind)
    asked = opened.use.searched_item(who, item.id)
    assert (asked.locks, asked.finding, asked.to_answer) == ((), Finding.FAULT, (hand,))
    with pytest.raises(Conflict, match=WRONG):
        opened.use.enter_search(who, item.id)
    with pytest.raises(UsageError, match="if it is neither, have him enter anew"):
        opened.use.enter_search(who, item.id, others={hand.id: DIRT})
    made = opened.use.enter_search(who, item.id, others={hand.id: as_})
    assert made.finding is Finding.FAULT and item_of(opened, kind).state is ItemState.DISCREPANCY
    (told,) = (made.reading or {})["others"]
    assert (told["entry"], told["person_id"], told["judged"]) == (hand.id, opened.mechanic_2.id, as_.value)
    (case,) = opened.use.cases(opened.visit.id)
    assert f"found by another person's hand, {as_.value}: a deep scratch" in case.discrepancy.text
    assert (case.sequence is not None) is leak
    opened.sign_work(who)
    assert opened.house.archive.verify().faults == ()


@KINDS
def test_who_found_it_may_enter_anew_that_nothing_is_wrong(house: House, kind: str) -> None:
    opened = opened_with(house, kind)
    item = item_of(opened, kind)
    found_by_hand(opened, kind, opened.mechanic_2)
    judged_on_photos(opened, kind)
    hose = "brake" if kind == "hoses" else ""
    opened.use.acknowledge(opened.mechanic_2, item.id, hose, "wiped: a smear", Finding.GOOD)
    made = opened.use.enter_search(opened.mechanic, item.id)
    assert made.finding is Finding.GOOD and "others" not in (made.reading or {})


@KINDS
def test_an_ordinary_answer_of_something_else_takes_it_along(house: House, kind: str) -> None:
    opened = opened_with(house, kind)
    item = item_of(opened, kind)
    found_by_hand(opened, kind, opened.mechanic_2, wet=True)
    opened.use.answer(opened.mechanic, item.id, ByEye(Finding.FAULT, "a clip is missing"))
    (case,) = opened.use.cases(opened.visit.id)
    assert "a clip is missing. By hand another person found: wet, a deep scratch." in case.discrepancy.text
    assert case.sequence is not None


def test_what_another_second_persons_hand_found_holds_the_signature_that_would_close_the_item(
    house: House,
) -> None:
    opened = open_surface(house)
    this, other, item = surface_house.entered(opened, DIRT), house.inspector_2, surface_item(opened)
    opened.use.all_by_hand(other, item.id, BY_HAND, Finding.FAULT, "a ridge can be felt")
    looked(opened, this, DIRT)
    (held,) = opened.use.looks_held(opened.inspector, opened.visit.id)
    assert "by hand something wrong was found (a ridge can be felt) and nobody has answered it" in held
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    assert batch.lines == ()
    with pytest.raises(Conflict, match="Nothing was signed: Wheel well: by hand something wrong"):
        opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)
    assert surface_item(opened).state is ItemState.WAITING
    marked(opened, this, person=other)
    judged(opened, this, "flag-1", DIRT, other)
    opened.use.look_at_search(other, item.id)
    sign_looks(opened, other)
    assert surface_item(opened).state is ItemState.DISCREPANCY
    (case,) = opened.use.cases(opened.visit.id)
    assert "a ridge can be felt" in case.discrepancy.text


def test_what_was_answered_is_not_asked_again_once_it_is_acted_on(house: House) -> None:
    opened = open_surface(house)
    item = surface_item(opened)
    hand = found_by_hand(opened, "surface", opened.mechanic_2)
    judged_on_photos(opened, "surface")
    opened.use.enter_search(opened.mechanic, item.id, others={hand.id: Judged.WEAR})
    opened.sign_work(opened.mechanic)
    assert opened.use.searched_item(opened.mechanic, item.id).wrong_by_hand == ()
    (case,) = opened.use.cases(opened.visit.id)
    again = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    opened.use.answer(opened.mechanic_2, again.id, ByEye(Finding.GOOD))
    opened.sign_work(opened.mechanic_2)
    opened.look(again)
    assert opened.again(item).state is ItemState.CLOSED
