"""The second person at hoses judged on photos: alone first, then held against the first, on files and on servers."""

import pytest

from app.errors import Conflict, NotAllowed
from app.inspection import ItemState, TryState
from app.inspection.rounds.model import Finding, Judged, LookOutcome
from app.inspection.rounds.search_views import BareMark
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
FLUID, CANNOT_TELL = Judged.FLUID, Judged.CANNOT_TELL


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def test_the_second_person_judges_blind_and_reflection_against_dirt_closes(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION, DIRT)
    item = hose_item(opened)
    before = opened.use.searched_item(opened.inspector, item.id)
    assert before.second and before.answered and before.photos[0].places == ()
    assert before.locks == (
        "Photo 1: mark first what you see yourself on the bare photo, or say that you see none.",
    )
    with pytest.raises(Conflict, match="mark each of them bare and judge its places yourself"):
        opened.use.look(opened.inspector, item.id, GOOD)
    marked(opened, this, person=opened.inspector)
    places = opened.use.searched_item(opened.inspector, item.id).photos[0].places
    assert [(one.opened, one.judged, one.text) for one in places] == [(False, None, "")] * 2
    for place, as_ in (("flag-1", DIRT), ("flag-2", REFLECTION)):
        judged(opened, this, place, as_, opened.inspector)
    look = opened.use.look_at_search(opened.inspector, item.id)
    assert (look.finding, look.seen_from) == (Finding.GOOD, "photo")
    both = opened.use.compared_search(opened.inspector, look.id)
    assert both.outcome is LookOutcome.CLOSED
    assert [(one.mine, one.first) for one in both.rows] == [(DIRT, REFLECTION), (REFLECTION, DIRT)]
    with pytest.raises(Conflict, match="what you found stays"):
        opened.use.judge(opened.inspector, this.id, "flag-1", WEAR)
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.SETTLED
    assert opened.house.archive.verify().faults == ()


@pytest.mark.parametrize(("as_", "leak"), [(WEAR, False), (FLUID, True)])
def test_what_only_the_second_person_finds_is_a_discrepancy(
    opened: RoundHouse, as_: Judged, leak: bool
) -> None:
    this = entered(opened, REFLECTION)
    look = looked(opened, this, as_)
    assert opened.use.compared_search(opened.inspector, look.id).outcome is LookOutcome.DISCREPANCY
    sign_looks(opened)
    (case,) = opened.use.cases(opened.visit.id)
    assert (case.sequence is not None) is leak
    assert "Limits not given" in case.discrepancy.text and case.discrepancy.photo == this.photo


def test_what_the_second_person_marks_himself_is_judged_by_him_alone(opened: RoundHouse) -> None:
    this = entered(opened)
    marked(opened, this, BareMark(300.0, 101.0, "rubbed"), person=opened.inspector)
    (mark,) = opened.use.searched_item(opened.inspector, hose_item(opened).id).photos[0].places
    judged(opened, this, mark.key, WEAR, opened.inspector)
    look = opened.use.look_at_search(opened.inspector, hose_item(opened).id)
    (row,) = opened.use.compared_search(opened.inspector, look.id).rows
    assert (row.mine, row.first) == (WEAR, None)
    sign_looks(opened)
    assert hose_item(opened).state is ItemState.DISCREPANCY


def test_where_the_second_person_cannot_tell_both_look_by_hand(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION)
    look = looked(opened, this, CANNOT_TELL)
    assert look.finding is Finding.UNDECIDED
    sign_looks(opened)
    item = hose_item(opened)
    assert item.state is ItemState.TO_DO
    seen = opened.use.searched_item(opened.mechanic, item.id)
    assert seen.rejected and [one[:52] for one in seen.locks] == [
        "A second person could not tell from these photos, an"
    ]
    for act in (
        lambda: arrived(opened),
        lambda: opened.use.enter_search(opened.mechanic, item.id),
        lambda: opened.use.judge(opened.mechanic, this.id, "flag-1", DIRT),
    ):
        with pytest.raises(Conflict, match="both look by hand and mirror"):
            act()
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light"):
        opened.use.answer(opened.mechanic, item.id, GOOD)  # what was felt before the photos is felt again
    all_round(opened)
    opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.sign_work(opened.mechanic)
    opened.look(item, GOOD)
    assert opened.again(item).state is ItemState.CLOSED


def test_nobody_is_second_on_his_own_work_or_photo(opened: RoundHouse) -> None:
    both = opened.house.inspector_2
    other = searched(opened, found(), both)
    marked(opened, other)
    this = entered_beside(opened, other)
    with pytest.raises(NotAllowed, match="You photographed these hoses yourself"):
        opened.use.mark_bare(both, this.id, (), none_seen=True)
    assert not opened.use.searched_item(both, hose_item(opened).id).second
    with pytest.raises(Conflict, match="You have signed this"):
        opened.use.judge(opened.mechanic, this.id, "flag-1", DIRT)
    assert opened.use.searched_item(both, hose_item(opened).id).barred.startswith(
        "You photographed these hoses"
    )
    with pytest.raises(NotAllowed, match=r"no authorisation|takes an inspector"):
        opened.use.mark_bare(opened.mechanic_2, this.id, (), none_seen=True)


@pytest.mark.parametrize("given_up", [False, True])
def test_who_began_a_photo_and_never_took_one_of_use_is_second_all_the_same(
    opened: RoundHouse, given_up: bool
) -> None:
    both = opened.house.inspector_2
    if given_up:
        opened.use.give_up_photo(both, arrived(opened, both).id)
    else:
        opened.use.begin_search_try(both, hose_item(opened).id, "front")
    this = entered(opened, REFLECTION)
    assert opened.use.searched_item(both, hose_item(opened).id).second
    looked(opened, this, DIRT, person=both)
    sign_looks(opened, both)
    assert hose_item(opened).state is ItemState.CLOSED


def entered_beside(opened: RoundHouse, other):  # type: ignore[no-untyped-def]
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    hands(opened)
    opened.use.enter_search(opened.mechanic, other.item_id)
    opened.sign_work(opened.mechanic)
    return this


def test_a_fault_that_the_second_person_sees_at_the_aircraft_is_entered_at_once(opened: RoundHouse) -> None:
    entered(opened, REFLECTION)
    opened.look(hose_item(opened), FAULT)
    assert hose_item(opened).state is ItemState.DISCREPANCY
