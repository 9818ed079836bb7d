"""Photos of surfaces from the shown region to the answer and the second look, on files and on servers."""

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Item, ItemState, TryState
from app.inspection.rounds.model import Finding, Judged, LookOutcome
from app.inspection.rounds.search_kinds import SURFACES
from app.inspection.rounds.search_views import BareMark, DamageLimit, ShownHose, ShownRegion, Step
from tests.app.hose_house import judged, marked, sign_looks
from tests.app.records_house import House
from tests.app.rounds_house import GOOD, RoundHouse
from tests.app.surface_house import (
    BY_HAND,
    CORNERS,
    arrived,
    by_hand,
    entered,
    found,
    looked,
    open_surface,
    refused,
    rest,
    searched,
    spot,
    surface_item,
)

WEAR, DIRT, REFLECTION = Judged.WEAR, Judged.DIRT, Judged.REFLECTION
FLUID, CANNOT_TELL = Judged.FLUID, Judged.CANNOT_TELL


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_surface(house)


def seen(opened: RoundHouse, person=None):  # type: ignore[no-untyped-def]
    return opened.use.searched_item(person or opened.mechanic, surface_item(opened).id)


def test_the_item_is_answered_without_a_photo_as_every_other_by_hand_and_eye(opened: RoundHouse) -> None:
    item = surface_item(opened)
    assert opened.use.search_kind(item.id) is SURFACES and opened.use.search_locks(item.id) == ()
    opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.sign_work(opened.mechanic)
    opened.look(item, GOOD)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.use.search_kind(surface_item(opened, "hoses").id) is None


def test_a_photo_is_not_searched_before_its_region_is_shown(opened: RoundHouse) -> None:
    this = arrived(opened)
    assert seen(opened).photos[0].step is Step.SHOW and opened.use.unfinished() == ()
    assert "which part of a photo is to be searched is not shown" in [
        one.what.partition(": ")[2] for one in opened.use.gaps(opened.visit.id)
    ]
    with pytest.raises(Conflict, match="On a photo of it no region is shown yet"):
        opened.use.answer(opened.mechanic, surface_item(opened).id, GOOD)
    shown = opened.use.show_region(opened.mechanic, this.id, ShownRegion(CORNERS))
    assert shown.options == {
        "what": "surface", "seen_from": "inner wall, left", "region": [list(one) for one in CORNERS],
    }  # fmt: skip
    assert [one.id for one in opened.use.unfinished()] == [this.id]
    with pytest.raises(Conflict, match="The region is shown once"):
        opened.use.show_region(opened.mechanic, this.id, ShownRegion(CORNERS))


@pytest.mark.parametrize(
    ("corners", "why"),
    [
        (CORNERS[:1], "two opposite corners"),
        (CORNERS * 11, "22 came"),
        (((0.0, 0.0), (float("nan"), 5.0)), "no place on a photo"),
        (((0.0, 0.0), (400.0, 300.0), (400.0, 0.0), (0.0, 300.0)), "Two sides of the region cross"),
    ],
)
def test_a_region_that_is_none_is_not_shown(
    opened: RoundHouse, corners: tuple[tuple[float, float], ...], why: str
) -> None:
    with pytest.raises(UsageError, match=why):
        opened.use.show_region(opened.mechanic, arrived(opened).id, ShownRegion(corners))


def test_hoses_are_not_shown_on_a_photo_of_a_surface(opened: RoundHouse) -> None:
    with pytest.raises(Conflict, match="This photo shows this surface"):
        opened.use.show_hoses(opened.mechanic, arrived(opened).id, [ShownHose("brake", CORNERS)])
    with pytest.raises(Conflict, match="enter by hand, mirror and light what its page asks for"):
        opened.use.hand_light(opened.mechanic, surface_item(opened).id, "open", "left", Finding.GOOD)


def test_a_photo_given_up_leaves_the_item_as_it_was(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.give_up_photo(opened.mechanic_2, this.id)
    assert opened.use.try_of(opened.mechanic, this.id).failure == "Given up: no region was shown on it."
    opened.use.answer(opened.mechanic, surface_item(opened).id, GOOD)


def test_nothing_found_is_seen_before_the_own_marking_and_all_is_left_one_by_one(opened: RoundHouse) -> None:
    this = searched(opened, found(spot(200.0), spot(300.0)))
    item = surface_item(opened)
    with pytest.raises(
        Conflict, match=r"Photos of this surface were searched, and each flag is to be judged"
    ):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    bare = seen(opened).photos[0]
    assert (bare.step, bare.places, bare.try_.result) == (Step.MARK, (), None)
    marked(opened, this, BareMark(420.0, 300.0, "dull"))
    photo = seen(opened).photos[0]
    assert [(one.kind, one.hose, one.hose_name) for one in photo.places] == [
        ("flag", -1, ""), ("flag", -1, ""), ("mark", -1, ""),
    ]  # fmt: skip
    with pytest.raises(Conflict, match="You have not looked at this place"):
        opened.use.judge(opened.mechanic, this.id, "flag-1", DIRT)
    for key in [one.key for one in photo.places]:
        assert "Photo 1: " in seen(opened).locks[0]
        judged(opened, this, key, DIRT)
    assert seen(opened).locks == (
        "The surface: say how what the photos did not search of it was inspected.",
        "All of it by hand, mirror and light, whatever the photos show: do it and say so.",
    )
    rest(opened)
    by_hand(opened)
    ready = seen(opened)
    assert (ready.locks, ready.finding) == ((), Finding.GOOD)
    assert (
        "80 % of the region shown on it was searched, for places 12 to 160 px long; 2 squares" in ready.words
    )
    assert "Instead: with a lamp from the side" in ready.words
    assert f"All of it by hand, mirror and light: {BY_HAND}" in ready.words
    assert "no wear" not in ready.words.lower()


def test_another_photo_asks_for_what_was_not_searched_anew(opened: RoundHouse) -> None:
    marked(opened, searched(opened, found()))
    rest(opened)
    marked(opened, searched(opened, found(share=0.3)))
    (coverage,) = seen(opened).coverage
    assert coverage.outdated and coverage.acknowledged is None
    assert (coverage.least, coverage.most) == (0.3, 0.8)
    assert "changed since you told" in seen(opened).locks[0]


def test_nothing_searched_is_told_and_not_entered(opened: RoundHouse) -> None:
    marked(opened, searched(opened, found(share=0.0)))
    rest(opened)
    by_hand(opened)
    assert seen(opened).locks == (SURFACES.nothing_searched,)
    opened.use.answer(opened.mechanic, surface_item(opened).id, GOOD)


@pytest.mark.parametrize(("as_", "leak"), [(WEAR, False), (FLUID, True)])
def test_wear_and_fluid_open_a_discrepancy_with_the_documents_limits_first(
    opened: RoundHouse, as_: Judged, leak: bool
) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", as_)
    rest(opened)
    by_hand(opened)
    assert seen(opened).wear == ("",)
    limit = DamageLimit("structure manual 51-10 rev 4", "No scratch through the primer.")
    opened.use.enter_search(opened.mechanic, surface_item(opened).id, {"": limit})
    assert surface_item(opened).state is ItemState.DISCREPANCY
    (case,) = opened.use.cases(opened.visit.id)
    assert "Wheel well: Limits by structure manual 51-10 rev 4: No scratch" in case.discrepancy.text
    assert f"The surface, {as_.value}: inner wall, left, photo 1, place 1" in case.discrepancy.text
    assert (case.sequence is not None) is leak and case.discrepancy.photo == this.photo
    assert opened.house.archive.verify().faults == ()


def test_each_surface_that_is_worn_is_a_discrepancy_of_its_own_with_its_place(opened: RoundHouse) -> None:
    first = searched(opened, found(spot(200.0), spot(300.0)))
    other = arrived(opened, seen_from="right wall")
    opened.use.show_region(opened.mechanic, other.id, ShownRegion(CORNERS))
    other = opened.use.measured(other.id, found(spot(200.0)))
    for this, keys in ((first, ("flag-1", "flag-2")), (other, ("flag-1",))):
        marked(opened, this)
        for key in keys:
            judged(opened, this, key, WEAR)
    rest(opened)
    by_hand(opened)
    opened.use.enter_search(opened.mechanic, surface_item(opened).id)
    told = {case.discrepancy.place: case.discrepancy for case in opened.use.cases(opened.visit.id)}
    assert set(told) == {"nose leg, inner wall, left", "nose leg, right wall"}
    assert told["nose leg, inner wall, left"].photo == first.photo
    assert "photo 1, place 1; inner wall, left, photo 1, place 2" in told["nose leg, inner wall, left"].text
    assert "right wall, photo 2, place 1" in told["nose leg, right wall"].text


def test_what_the_photo_cannot_tell_is_settled_with_hand_and_light(opened: RoundHouse) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", CANNOT_TELL)
    rest(opened)
    by_hand(opened)
    assert seen(opened).locks == (
        "Photo 1: place 1 is left open by the photo: look there with hand and light.",
    )
    opened.use.settle_by_hand(opened.mechanic, this.id, "flag-1", Finding.FAULT, "a step can be felt")
    opened.use.enter_search(opened.mechanic, surface_item(opened).id)
    (case,) = opened.use.cases(opened.visit.id)
    assert "Limits not given: ask the document" in case.discrepancy.text
    assert (
        "by hand and mirror at inner wall, left, photo 1, place 1: a step can be felt"
        in case.discrepancy.text
    )


def test_what_was_set_aside_is_told_with_its_reason_and_can_be_brought_back(opened: RoundHouse) -> None:
    aside = spot(500.0, kind="shadow", why="a shadow's edge")
    this = searched(opened, found(aside=(aside,)))
    marked(opened, this)
    (one,) = seen(opened).photos[0].aside
    assert (one.aside_as, one.why) == ("shadow", "a shadow's edge")
    judged(opened, this, one.key, WEAR)
    assert seen(opened).photos[0].aside == () and seen(opened).wear == ("",)


def test_the_same_photo_is_searched_again_in_another_region(opened: RoundHouse) -> None:
    this = searched(opened, refused())
    again = opened.use.search_again(opened.mechanic, this.id, ShownRegion(CORNERS))
    assert (again.photo, again.state) == (this.photo, TryState.STORED)
    opened.use.measured(again.id, found())
    assert [one.step for one in seen(opened).photos] == [Step.REFUSED, Step.MARK]


def test_no_second_photo_is_held_against_one_of_a_surface(opened: RoundHouse) -> None:
    this = searched(opened, found(spot(200.0)))
    marked(opened, this)
    with pytest.raises(Conflict, match="Only photos of hoses are held against a second one"):
        opened.use.begin_second_photo(opened.mechanic, this.id)


def test_the_second_person_judges_blind_and_looks_at_the_aircraft_himself(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION, DIRT)
    who, item = opened.inspector, surface_item(opened)
    before = seen(opened, who)
    assert before.second and before.looks_himself and before.photos[0].places == ()
    assert [one.partition(":")[0] for one in before.locks] == [
        "Photo 1", "All of it by hand, mirror and light, whatever the photos show",
    ]  # fmt: skip
    with pytest.raises(Conflict, match="mark each of them bare and judge its places yourself"):
        opened.use.look(who, item.id, GOOD)
    marked(opened, this, person=who)
    for place, as_ in (("flag-1", DIRT), ("flag-2", REFLECTION)):
        judged(opened, this, place, as_, who)
    with pytest.raises(Conflict, match="All of it by hand, mirror and light"):
        opened.use.look_at_search(who, item.id)
    by_hand(opened, who)
    look = opened.use.look_at_search(who, item.id)
    assert (look.finding, look.seen_from) == (Finding.GOOD, "aircraft")
    assert BY_HAND in look.text and look.reading["hand_light"]["how"] == BY_HAND
    with pytest.raises(Conflict, match="what you found stays"):
        by_hand(opened, who)
    rows = opened.use.compared_search(who, look.id)
    assert rows.outcome is LookOutcome.CLOSED
    assert [(one.mine, one.first) for one in rows.rows] == [(DIRT, REFLECTION), (REFLECTION, DIRT)]
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.use.try_of(opened.mechanic, this.id).state is TryState.SETTLED
    assert opened.house.archive.verify().faults == ()


def test_what_the_second_persons_hand_finds_is_a_discrepancy(opened: RoundHouse) -> None:
    this = entered(opened, DIRT)
    who = opened.inspector
    marked(opened, this, person=who)
    judged(opened, this, "flag-1", DIRT, who)
    by_hand(opened, who, Finding.FAULT)
    look = opened.use.look_at_search(who, surface_item(opened).id)
    assert look.finding is Finding.FAULT
    sign_looks(opened)
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.text == "Wheel well: All of it, by hand, mirror and light: a ridge can be felt"


def test_nobody_is_second_on_his_own_photo_of_a_surface(opened: RoundHouse) -> None:
    both = opened.house.inspector_2
    marked(opened, searched(opened, found(), both))
    this = entered(opened, DIRT)
    with pytest.raises(
        NotAllowed, match="You photographed this surface yourself: another person has to judge it"
    ):
        opened.use.mark_bare(both, this.id, (), none_seen=True)
    with pytest.raises(Conflict):
        by_hand(opened, both)


def test_where_the_second_person_cannot_tell_both_look_by_hand_anew(opened: RoundHouse) -> None:
    looked(opened, entered(opened, REFLECTION), CANNOT_TELL)
    sign_looks(opened)
    item: Item = surface_item(opened)
    assert item.state is ItemState.TO_DO and seen(opened).rejected
    with pytest.raises(Conflict, match="both look by hand and mirror"):
        arrived(opened)
    with pytest.raises(Conflict, match="All of it by hand, mirror and light"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    by_hand(opened)
    made = opened.use.answer(opened.mechanic, item.id, GOOD)
    assert made.text == f"All of it by hand, mirror and light: {BY_HAND}."
    opened.sign_work(opened.mechanic)
    opened.look(item, GOOD)
    assert opened.again(item).state is ItemState.CLOSED
