"""What was judged on photos of hoses as their item's answer, and the second person's, on files and on servers."""

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import ItemState, TryState
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, Judged, SequenceKind
from app.inspection.rounds.search_views import BareMark, DamageLimit, ShownHose
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    all_round,
    arrived,
    course,
    entered,
    flag,
    found,
    hands,
    hose_item,
    judged,
    marked,
    open_hoses,
    refused,
    searched,
)
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse

REFLECTION, DIRT, WEAR = Judged.REFLECTION, Judged.DIRT, Judged.WEAR
FLUID, CANNOT_TELL = Judged.FLUID, Judged.CANNOT_TELL


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def locks(opened: RoundHouse, person=None) -> tuple[str, ...]:  # type: ignore[no-untyped-def]
    found: tuple[str, ...] = opened.use.searched_item(person or opened.mechanic, hose_item(opened).id).locks
    return found


def test_nothing_is_entered_while_something_is_left_and_each_lock_says_what(opened: RoundHouse) -> None:
    item = hose_item(opened)
    this = searched(opened, found(flag(150.0), flag(250.0)))
    not_searched = "Hose brake: say how what the photos did not search of it was inspected."
    by_hand = "All hoses by hand, mirror and light, doors and steering at their extremes: do it and say so."
    assert locks(opened) == (
        "Photo 1: mark first what you see yourself on the bare photo, or say that you see none.",
        not_searched, by_hand,
    )  # fmt: skip
    marked(opened, this)
    opened.use.open_place(opened.mechanic, this.id, "flag-1")
    assert locks(opened)[:2] == (
        "Photo 1: place 2 is not looked at: open it first.",
        "Photo 1: place 1 is not judged: say what you take it for.",
    )
    judged(opened, this, "flag-1", CANNOT_TELL)
    judged(opened, this, "flag-2", DIRT)
    assert locks(opened) == (
        "Photo 1: place 1 is left open by the photo: look there with hand and mirror.",
        not_searched, by_hand,
    )  # fmt: skip
    opened.use.settle_by_hand(opened.mechanic, this.id, "flag-1", Finding.GOOD, "smooth, a reflection")
    assert locks(opened) == (not_searched, by_hand)
    opened.use.acknowledge(opened.mechanic, item.id, "brake", "felt all round", Finding.GOOD)
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light"):
        opened.use.enter_search(opened.mechanic, item.id)
    opened.use.hand_light(opened.mechanic, item.id, "open", "no steering on this leg", Finding.GOOD)
    assert locks(opened) == ()
    opened.use.enter_search(opened.mechanic, item.id)
    assert locks(opened) == ("This item is answered.",)


def test_a_good_answer_says_what_was_searched_and_what_was_not(opened: RoundHouse) -> None:
    this = entered(opened, REFLECTION, DIRT)
    item = hose_item(opened)
    assert item.state is ItemState.WAITING
    stop = opened.use.stop(opened.mechanic, item.id).mine
    assert stop.finding is Finding.GOOD
    assert stop.text == (
        "Nothing that needs action was found on what was searched (1 × reflection, 1 × dirt). Hose brake. "
        "Photo 1 (front): 30 % of the surface of 102 mm shown was searched, all round taken as 100 %; not "
        "searched at all: 25 to 51 mm. Not searched: every side of it that no photo shows, and all of "
        "its length beyond the photos. Instead: felt all round, with mirror and light. All hoses by hand, "
        "mirror and light; doors: open and closed; steering: left and right stop."
    )
    assert "no wear" not in stop.text.lower()
    assert [one["judged"] for one in stop.reading["judged"]] == ["reflection", "dirt"]
    assert stop.reading["tries"] == [this.id]
    assert stop.reading["hand_light"]["steering"] == "left and right stop"


def test_wear_opens_a_discrepancy_that_says_the_limits_first_and_where_it_is(opened: RoundHouse) -> None:
    this = entered(opened, WEAR, REFLECTION, WEAR)
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.text == (
        "Hose shiny spots: Limits not given: ask the document (demo manual 32-10-05 rev 3). Hose brake, wear: "
        "13 mm along the hose as photo 1 shows it, place 1, 8 mm long; "
        "43 mm along the hose as photo 1 shows it, place 3, 8 mm long"
    )
    assert case.discrepancy.place == "tail leg, hose brake"
    assert case.discrepancy.photo == this.photo
    assert hose_item(opened).state is ItemState.DISCREPANCY
    settled = opened.use.try_of(opened.inspector, this.id)
    assert (settled.state, settled.result is not None) == (TryState.SETTLED, True)


def test_limits_come_from_the_leg_or_are_typed_in_and_what_is_typed_counts(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    both = [course(), course("lock", 400.0)]
    this = searched(opened, found(flag(150.0), flag(150.0, hose=1), hoses=both))
    marked(opened, this)
    for place in ("flag-1", "flag-2"):
        judged(opened, this, place, WEAR)
    hands(opened, "brake", "lock")
    seen = opened.use.searched_item(opened.mechanic, hose_item(opened).id)
    assert (seen.finding, seen.wear) == (Finding.FAULT, ("brake", "lock"))
    with pytest.raises(UsageError, match="What the document allows"):
        opened.use.enter_search(opened.mechanic, hose_item(opened).id, {"brake": DamageLimit("manual", " ")})
    limits = {"brake": DamageLimit("manual 32-41 rev 1", "No braid may show.")}
    opened.use.enter_search(opened.mechanic, hose_item(opened).id, limits)
    texts = sorted(one.discrepancy.text for one in opened.use.cases(opened.visit.id))
    assert texts[0].startswith(
        "Hose shiny spots: Limits by hose manual 29-10 rev 2: No fibre of the cover may be broken."
    )
    assert texts[1].startswith(
        "Hose shiny spots: Limits by manual 32-41 rev 1: No braid may show. Hose brake"
    )


def test_fluid_begins_the_steps_of_a_leak_beside_the_wear(opened: RoundHouse) -> None:
    entered(opened, FLUID, WEAR)
    cases = opened.use.cases(opened.visit.id)
    kinds = {one.discrepancy.text.partition("brake, ")[2].partition(":")[0]: one.sequence for one in cases}
    assert set(kinds) == {"wear", "fluid"} and kinds["wear"] is None
    assert kinds["fluid"] is not None and kinds["fluid"].kind is SequenceKind.LEAK


def test_a_fault_found_by_hand_is_a_discrepancy_wherever_it_was_found(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    item = hose_item(opened)
    marked(opened, this)
    judged(opened, this, "flag-1", CANNOT_TELL)
    opened.use.settle_by_hand(opened.mechanic, this.id, "flag-1", Finding.FAULT, "braid is felt")
    hands(opened)
    with pytest.raises(UsageError, match="What is wrong"):
        opened.use.acknowledge(opened.mechanic, item.id, "brake", "felt", Finding.FAULT)
    opened.use.acknowledge(opened.mechanic, item.id, "brake", "felt", Finding.FAULT, "flat below the clamp")
    opened.use.hand_light(opened.mechanic, item.id, "open", "none", Finding.FAULT, "two hoses touch")
    opened.use.enter_search(opened.mechanic, item.id)
    texts = [one.discrepancy.text for one in opened.use.cases(opened.visit.id)]
    assert sum("braid is felt" in one for one in texts) == 1
    assert sum("flat below the clamp" in one for one in texts) == 1
    assert sum("two hoses touch" in one for one in texts) == 1


def test_a_fault_found_by_hand_has_its_hoses_limits_first_and_what_is_wet_is_a_leak(house: House) -> None:
    opened = open_hoses(house, LOCK)
    this = searched(opened, found(flag(150.0), hoses=[course("lock")]), name="lock")
    item = hose_item(opened).id
    marked(opened, this)
    judged(opened, this, "flag-1", CANNOT_TELL)
    hands(opened, "lock")
    with pytest.raises(UsageError, match="What is wet needs action"):
        opened.use.hand_light(opened.mechanic, item, "open", "none", Finding.GOOD, wet=True)
    told = (Finding.FAULT, "fibres broken")
    opened.use.settle_by_hand(opened.mechanic, this.id, "flag-1", *told, wet=True)
    opened.use.acknowledge(opened.mechanic, item, "lock", "felt", *told)
    seen = opened.use.searched_item(opened.mechanic, item)
    assert seen.wear == ("lock",)
    allows = "Limits by hose manual 29-10 rev 2: No fibre of the cover may be broken."
    opened.use.enter_search(opened.mechanic, item)
    cases = {one.discrepancy.text: one.sequence for one in opened.use.cases(opened.visit.id)}
    settled = (
        f"Hose shiny spots: {allows} Hose lock, by hand and mirror at 13 mm along the hose as photo 1 "
        "shows it, place 1: wet, fibres broken"
    )
    felt = f"Hose shiny spots: {allows} Hose lock, by hand, mirror and light: fibres broken"
    assert set(cases) == {settled, felt}
    assert cases[settled].kind is SequenceKind.LEAK and cases[felt] is None


def test_what_is_wet_all_round_is_a_leak_with_a_photo_and_without(opened: RoundHouse) -> None:
    item = hose_item(opened)
    told = ("open", "stops", Finding.FAULT, "fluid at the lower clamp")
    opened.use.hand_light(opened.mechanic, item.id, *told, wet=True)
    opened.use.answer(opened.mechanic, item.id, FAULT)
    (case,) = opened.use.cases(opened.visit.id)
    assert case.sequence is not None and case.sequence.kind is SequenceKind.LEAK


def test_another_photo_asks_anew_for_what_was_not_searched(opened: RoundHouse) -> None:
    this = searched(opened, found())
    marked(opened, this)
    hands(opened)
    assert locks(opened) == ()
    other = searched(opened, found(hoses=[course(share=0.2)]))
    marked(opened, other)
    assert locks(opened) == (
        "Hose brake: say how what the photos did not search of it was inspected, which has changed since you told.",
    )
    (told,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).coverage
    assert (round(told.least, 2), round(told.most, 2), told.outdated) == (0.3, 0.5, True)
    assert told.lines[2] == (
        "Together 30 % of the round of the longest stretch shown, where all photos show the same of it, "
        "and 50 % where none does."
    )


def test_a_hose_that_no_photo_shows_is_told_too(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    marked(opened, searched(opened, found()))
    hands(opened, "brake")
    assert locks(opened) == ("Hose lock: say how what the photos did not search of it was inspected.",)
    seen = opened.use.searched_item(opened.mechanic, hose_item(opened).id)
    assert seen.coverage[1].lines == ("No photo that was searched shows it: nothing of it was searched.",)


def test_photos_that_are_not_through_keep_the_item_open(opened: RoundHouse) -> None:
    marked(opened, searched(opened, found()))
    hands(opened)
    arrived(opened)
    assert locks(opened) == (
        "Photo 2: which hoses it shows is not told: show them along their length, or give the photo up.",
    )


def test_only_who_could_not_tell_settles_a_place_by_hand(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", DIRT)
    with pytest.raises(Conflict, match="You have not said that the photo cannot tell"):
        opened.use.settle_by_hand(opened.mechanic, this.id, "flag-1", Finding.GOOD, "smooth")
    with pytest.raises(UsageError, match="only nothing to act on, or a fault"):
        opened.use.hand_light(opened.mechanic, hose_item(opened).id, "open", "none", Finding.UNDECIDED)
    with pytest.raises(UsageError, match="no hose 'fuel'"):
        opened.use.acknowledge(opened.mechanic, hose_item(opened).id, "fuel", "felt", Finding.GOOD)


def test_what_was_repaired_is_searched_again_as_its_re_inspection(opened: RoundHouse) -> None:
    entered(opened, WEAR)
    (case,) = opened.use.cases(opened.visit.id)
    done = opened.act(case.discrepancy.id)
    again = opened.use.place_of(done.reinspection_id).item
    assert opened.use.search_locks(again.id) == ()
    begun = opened.use.begin_search_try(opened.mechanic, again.id, "front")
    assert begun.item_id == again.id


def test_a_photo_of_which_nothing_counts_as_searched_answers_nothing(opened: RoundHouse) -> None:
    this = searched(opened, found(hoses=[course(share=0.0)]))
    marked(opened, this)
    hands(opened)
    assert locks(opened)[0].startswith("Nothing of a hose counts as searched on any photo")
    opened.use.answer(opened.mechanic, hose_item(opened).id, GOOD)


def test_a_signed_answer_is_not_corrected_past_its_flags(opened: RoundHouse) -> None:
    entered(opened, REFLECTION)
    item = hose_item(opened)
    first = opened.use.stop(opened.mechanic, item.id).mine
    with pytest.raises(Conflict, match="each flag is to be judged"):
        opened.use.answer(opened.mechanic, item.id, GOOD, corrects=first.id, reason="no photo needed")
    opened.use.answer(opened.mechanic, item.id, FAULT, corrects=first.id, reason="felt again")
    assert opened.again(item).state is ItemState.DISCREPANCY


@pytest.mark.parametrize("photo", ["none", "refused", "given up"])
def test_nothing_wrong_without_a_photo_is_answered_after_hand_mirror_and_light(
    opened: RoundHouse, photo: str
) -> None:
    item = hose_item(opened)
    if photo == "refused":
        searched(opened, refused())
    elif photo == "given up":
        opened.use.give_up_photo(opened.mechanic, arrived(opened).id)
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light, doors and steering"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    all_round(opened, person=opened.mechanic_2)  # another person's hand is not his
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light, doors and steering"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    all_round(opened)
    said = opened.use.answer(opened.mechanic, item.id, ByEye(Finding.GOOD, "dry and clean.")).text
    assert said == (
        "dry and clean. All hoses by hand, mirror and light; doors: open and closed; "
        "steering: left and right stop."
    )
    with pytest.raises(Conflict, match="This item is answered"):
        all_round(opened)


def test_what_the_hand_found_wrong_is_not_passed_by_with_nothing_wrong(opened: RoundHouse) -> None:
    item = hose_item(opened)
    opened.use.hand_light(opened.mechanic, item.id, "open", "stops", Finding.FAULT, "two hoses touch")
    with pytest.raises(Conflict, match=r"something wrong \(two hoses touch\): open a discrepancy"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.use.answer(opened.mechanic, item.id, FAULT)
    assert opened.again(item).state is ItemState.DISCREPANCY


def test_a_re_inspection_of_hoses_is_not_closed_without_hand_mirror_and_light(opened: RoundHouse) -> None:
    entered(opened, WEAR)
    (case,) = opened.use.cases(opened.visit.id)
    again = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light"):
        opened.use.answer(opened.mechanic_2, again.id, GOOD)
    all_round(opened, again, opened.mechanic_2)
    opened.use.answer(opened.mechanic_2, again.id, GOOD)


def test_what_was_not_fitted_is_corrected_to_nothing_wrong_after_hand_mirror_and_light(
    opened: RoundHouse,
) -> None:
    item = hose_item(opened)
    first = opened.use.answer(opened.mechanic, item.id, ByEye(Finding.NOT_FITTED, "no hose"))
    opened.sign_work(opened.mechanic)
    told = {"corrects": first.id, "reason": "looked at the other leg"}
    with pytest.raises(Conflict, match="All hoses by hand, mirror and light"):
        opened.use.answer(opened.mechanic, item.id, GOOD, **told)
    all_round(opened)
    assert opened.use.answer(opened.mechanic, item.id, GOOD, **told).finding is Finding.GOOD


def test_a_trainee_enters_what_his_own_hands_found_and_is_supervised(opened: RoundHouse) -> None:
    item = hose_item(opened)
    all_round(opened, person=opened.trainee)
    made = opened.use.answer(opened.trainee, item.id, GOOD, supervisor_id=opened.mechanic.id)
    assert "All hoses by hand, mirror and light" in made.text
    with pytest.raises(NotAllowed, match="people who answer for the work"):
        all_round(opened, person=opened.administrator)


def test_wear_at_a_mark_is_held_against_the_limits_of_the_hose_it_lies_on(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = arrived(opened)
    lower = tuple((x, 400.0) for x, _ in ALONG)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG), ShownHose("lock", lower)])
    opened.use.measured(this.id, refused())
    marked(opened, this, BareMark(300.0, 400.0, "rubbed"))
    (place,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places
    judged(opened, this, place.key, WEAR)
    hands(opened, "brake", "lock")
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    (case,) = opened.use.cases(opened.visit.id)
    assert "No fibre of the cover may be broken. Hose lock, wear" in case.discrepancy.text


def test_wear_beside_the_searched_hoses_names_none_and_asks_for_the_document(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK)
    this = searched(opened, found())
    marked(opened, this, BareMark(300.0, 400.0, "rubbed"))
    (place,) = opened.use.searched_item(opened.mechanic, hose_item(opened).id).photos[0].places
    judged(opened, this, place.key, WEAR)
    hands(opened, "brake", "lock")
    opened.use.enter_search(opened.mechanic, hose_item(opened).id)
    (case,) = opened.use.cases(opened.visit.id)
    assert "Limits not given: ask the document" in case.discrepancy.text
    assert "A hose, which one is not told, wear" in case.discrepancy.text
