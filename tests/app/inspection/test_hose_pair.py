"""A second photo of the same hoses: what moved is set aside, and what people said stays."""

from dataclasses import replace

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import ItemState, Try, TryState
from app.inspection.rounds.hose_pair_rules import FIRST, flags_that_slide
from app.inspection.rounds.model import Judged
from app.inspection.rounds.photo_age import QUESTIONED
from app.inspection.rounds.search_views import BareMark, SearchedPhoto, ShownHose, Step
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    MOVED,
    all_round,
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
    sign_looks,
)
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def first(opened: RoundHouse, *marks: BareMark) -> Try:
    """A searched photo with three flags, marked bare."""
    this = searched(opened, found(flag(150.0), flag(250.0), flag(400.0)))
    marked(opened, this, *marks)
    return this


def seen(opened: RoundHouse, person=None) -> SearchedPhoto:  # type: ignore[no-untyped-def]
    return opened.use.searched_item(person or opened.mechanic, hose_item(opened).id).photos[0]


def keys(opened: RoundHouse, person=None) -> list[str]:  # type: ignore[no-untyped-def]
    return [one.key for one in seen(opened, person).places]


def test_what_moved_is_set_aside_with_its_reason_and_what_stayed_is_judged(opened: RoundHouse) -> None:
    this = first(opened)
    second = held_against(opened, this, 2)
    photo = seen(opened)
    assert [one.key for one in photo.places] == ["flag-1", "flag-3"]
    (slid,) = photo.aside
    assert (slid.key, slid.aside_as, slid.number) == ("slides-2", "slides", 2)
    assert slid.why == f"brighter and smoother than the hose beside it; {MOVED}"
    (beside,) = photo.seconds
    assert (beside.number, beside.step, beside.places) == (2, Step.DONE, ())
    assert second.statements[:2] == (
        "Photographed from: front.",
        "Taken as the second photo of photo 1 of these hoses, to be held against it: "
        "asked for from 100 mm or more along the hose.",
    )


def test_a_judgement_given_before_stays_and_an_opened_place_moves(opened: RoundHouse) -> None:
    this = first(opened)
    judged(opened, this, "flag-1", Judged.WEAR)
    opened.use.open_place(opened.mechanic, this.id, "flag-2")
    held_against(opened, this, 1, 2, 3)
    assert [(one.key, one.judged) for one in seen(opened).places] == [("flag-1", Judged.WEAR)]
    assert [one.key for one in seen(opened).aside] == ["slides-2", "slides-3"]
    with pytest.raises(Conflict, match="no place 'flag-2'"):
        opened.use.judge(opened.mechanic, this.id, "flag-2", Judged.WEAR)


def test_a_judgement_of_another_person_keeps_the_flag_for_all(opened: RoundHouse) -> None:
    this = first(opened)
    marked(opened, this, person=opened.mechanic_2)
    judged(opened, this, "flag-2", Judged.DIRT, opened.mechanic_2)
    held_against(opened, this, 2, 3)
    assert keys(opened) == keys(opened, opened.mechanic_2) == ["flag-1", "flag-2"]


def test_what_slides_is_brought_back_and_judged_by_both(opened: RoundHouse) -> None:
    this = first(opened)
    held_against(opened, this, 1, 2, 3)
    judged(opened, this, "slides-2", Judged.WEAR)
    (place,) = seen(opened).places
    assert (place.key, place.number, place.judged) == ("slides-2", 4, Judged.WEAR)
    assert [one.key for one in seen(opened).aside] == ["slides-1", "slides-3"]


def test_a_mark_of_ones_own_in_the_same_place_stays(opened: RoundHouse) -> None:
    this = first(opened, BareMark(250.0, 100.0, "shiny"))
    held_against(opened, this, 2)
    assert [one.own for one in seen(opened).places] == [False, False, True]


def test_the_record_says_that_a_second_photo_was_used(opened: RoundHouse) -> None:
    this, item = first(opened), hose_item(opened)
    second = held_against(opened, this, 2, 3)
    judged(opened, this, "flag-1")
    judged(opened, this, "slides-3", Judged.DIRT)
    hands(opened)
    made = opened.use.enter_search(opened.mechanic, item.id)
    assert made.reading["held_against"] == [
        {
            "photo": 1, "try_id": this.id, "second": 2, "second_try_id": second.id,
            "set_aside": ["slides-2"], "brought_back": ["slides-3"],
        }
    ]  # fmt: skip
    assert made.reading["tries"] == [this.id, second.id]
    assert (
        "Photo 1 was held against photo 2, from further along: 2 of its flags did not stay in place and were "
        "set aside, 1 of them brought back and judged"
    ) in made.text
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    assert keys(opened, opened.inspector) == ["flag-1", "slides-3"]
    judged(opened, this, "flag-1", person=opened.inspector)
    judged(opened, this, "slides-3", person=opened.inspector)
    opened.use.look_at_search(opened.inspector, item.id)
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.use.try_of(opened.mechanic, second.id).state is TryState.SETTLED
    assert opened.house.archive.verify().faults == ()


def test_it_is_never_asked_for_and_not_begun_where_it_can_set_nothing_aside(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    with pytest.raises(Conflict, match="that you marked bare"):
        opened.use.begin_second_photo(opened.mechanic, this.id)
    marked(opened, this)
    with pytest.raises(NotAllowed, match="taken by a mechanic"):
        opened.use.begin_second_photo(opened.inspector, this.id)
    judged(opened, this, "flag-1")
    with pytest.raises(Conflict, match="Every flag of it is judged"):
        opened.use.begin_second_photo(opened.mechanic, this.id)
    hands(opened)
    assert opened.use.searched_item(opened.mechanic, hose_item(opened).id).locks == ()


def test_one_that_was_compared_is_enough_and_one_under_way_is_gone_on_with(opened: RoundHouse) -> None:
    this = first(opened)
    begun = opened.use.begin_second_photo(opened.mechanic, this.id)
    assert opened.use.begin_second_photo(opened.mechanic, this.id) == begun
    opened.use.photo_arrived(opened.mechanic, begun.id, b"second", "IMG_8.jpg")
    with pytest.raises(Conflict, match="under way"):
        opened.use.begin_second_photo(opened.mechanic, this.id)
    opened.use.give_up_photo(opened.mechanic_2, begun.id)
    second = held_against(opened, this, 2)
    with pytest.raises(Conflict, match="what is left is judged by looking"):
        opened.use.begin_second_photo(opened.mechanic, this.id)
    with pytest.raises(Conflict, match="This photo was compared"):
        opened.use.search_again(opened.mechanic, second.id, [ShownHose("brake", ALONG)])


def test_a_refused_one_changes_nothing_and_is_taken_again_or_shown_again(opened: RoundHouse) -> None:
    this = first(opened)
    second = second_shown(opened, this)
    opened.use.measured(second.id, refused())
    assert keys(opened) == ["flag-1", "flag-2", "flag-3"]
    assert seen(opened).seconds[0].step is Step.REFUSED
    again = opened.use.search_again(opened.mechanic, second.id, [ShownHose("brake", ALONG)])
    assert again.options["second_of"] == this.id
    opened.use.measuring_failed(again.id, "out of memory")
    assert opened.use.begin_second_photo(opened.mechanic, this.id).id not in (second.id, again.id)


def test_nothing_is_entered_while_it_is_compared_and_one_that_was_never_taken_holds_nobody(
    opened: RoundHouse,
) -> None:
    this, item = first(opened), hose_item(opened)
    opened.use.begin_second_photo(opened.mechanic, this.id)
    for place in ("flag-1", "flag-2"):
        judged(opened, this, place)
    second = second_shown(opened, this)
    judged(opened, this, "flag-3")
    hands(opened)
    (lock,) = opened.use.searched_item(opened.mechanic, item.id).locks
    assert lock == "Photo 2, the second of photo 1: it is being compared: wait for what it gives."
    assert [one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == item.id] == [
        "Hose shiny spots: a photo is being measured"
    ]
    opened.use.measured(second.id, refused())
    opened.use.enter_search(opened.mechanic, item.id)


def test_only_hoses_that_the_first_photo_shows_are_shown_on_it(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = searched(opened, found(flag(150.0), hoses=[course("brake")]))
    marked(opened, this)
    begun = opened.use.begin_second_photo(opened.mechanic, this.id)
    opened.use.photo_arrived(opened.mechanic, begun.id, b"second", "IMG_8.jpg")
    with pytest.raises(UsageError, match="The first photo shows no hose 'lock': choose one of brake"):
        opened.use.show_hoses(opened.mechanic, begun.id, [ShownHose("lock", ALONG)])


def test_it_is_neither_marked_bare_nor_judged_nor_counted_as_searched(opened: RoundHouse) -> None:
    this = first(opened)
    second = held_against(opened, this, 2)
    found_ = opened.use.searched_item(opened.mechanic, hose_item(opened).id)
    assert [one.number for one in found_.photos] == [1]
    assert not any("Photo 2" in line for one in found_.coverage for line in one.lines)
    with pytest.raises(Conflict, match="no photo of hoses to mark here"):
        marked(opened, second)
    with pytest.raises(Conflict, match="There is no photo of hoses here"):
        opened.use.open_place(opened.mechanic, second.id, "flag-1")


def test_who_has_not_marked_the_first_photo_bare_is_not_told_what_the_second_gave(opened: RoundHouse) -> None:
    this = first(opened)
    second = held_against(opened, this, 2)
    assert opened.use.try_of(opened.mechanic, second.id).result is not None
    story = opened.use.item_story(opened.inspector, second.item_id)
    told = [one.result for _, one in story.entries if isinstance(one, Try)]
    assert told == [None, None]
    assert seen(opened, opened.inspector).seconds[0].try_.result is None


def test_who_took_it_is_not_the_second_person(opened: RoundHouse) -> None:
    this, both = first(opened), opened.house.inspector_2
    marked(opened, this, person=both)
    held_against(opened, this, 1, 2, 3, person=both)
    hands(opened)
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    opened.sign_work(opened.mechanic)
    with pytest.raises(NotAllowed, match="photographed these hoses yourself"):
        opened.use.open_place(both, this.id, "slides-1")


def test_while_its_time_is_questioned_it_sets_nothing_aside_and_not_after_the_answer_either(
    opened: RoundHouse,
) -> None:
    this = first(opened)
    second = held_against(opened, this, 1)
    with opened.house.archive.records.begin() as work:
        kept = work.get(Try, second.id)
        asked = (*kept.statements, f"{QUESTIONED}taken 3 hours before the condition was stated.")
        work.enter("asked", None, opened.visit.id, replace(kept, statements=asked))
    assert keys(opened) == ["flag-1", "flag-2", "flag-3"]
    for place in keys(opened):
        judged(opened, this, place)
    hands(opened)
    made = opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    assert "held_against" not in made.reading and "held against" not in made.text
    with pytest.raises(Conflict, match="This item is answered"):
        opened.use.explain_time(opened.mechanic, second.id, "the clock was slow")


def test_it_is_measured_with_the_photo_the_places_and_the_flags_of_the_first(opened: RoundHouse) -> None:
    this = first(opened)
    second = second_shown(opened, this)
    photo, _, told = opened.use.task(second.id)
    assert photo == f"photo {second.id}".encode()
    assert told[FIRST]["photo"] == f"photo {this.id}".encode()
    assert told[FIRST]["taps"] == told["taps"] and len(told[FIRST]["flags"]) == 3
    assert FIRST not in opened.use.try_of(opened.mechanic, second.id).options
    assert FIRST not in opened.use.task(this.id)[2]


def test_an_ordinary_answer_passes_by_no_flag_that_a_second_photo_set_aside(opened: RoundHouse) -> None:
    this, item = first(opened), hose_item(opened)
    held_against(opened, this, 1, 2, 3)
    all_round(opened)
    with pytest.raises(Conflict, match="each flag is to be judged"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.use.answer(opened.mechanic, item.id, FAULT)


def test_a_flag_that_another_version_would_raise_elsewhere_is_left_to_be_judged() -> None:
    stored = [flag(150.0), flag(250.0), flag(400.0)]
    again = [flag(150.2, kind="slides"), flag(252.0, kind="slides"), flag(400.0, kind="clamp")]
    assert flags_that_slide(stored, again) == [{"flag": 1, "why": again[0]["why"]}]
    assert flags_that_slide(stored, [flag(150.0, hose=1, kind="slides")]) == []
