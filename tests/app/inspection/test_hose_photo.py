"""Photos of hoses from the shown points to the judged places, on files and on servers."""

from dataclasses import replace

import pytest

from app.archive.exchange import SqlExchange
from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import ItemState, Try, TryState
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, Judged
from app.inspection.rounds.photo_age import QUESTIONED
from app.inspection.rounds.search_views import BareMark, PlaceKind, SearchedPhoto, ShownHose, Step
from tests.app.hose_house import (
    ALONG,
    BRAKE,
    LOCK,
    UNKNOWN,
    all_round,
    arrived,
    course,
    flag,
    found,
    hands,
    hose_item,
    judged,
    marked,
    open_hoses,
    refused,
    searched,
    sign_looks,
)
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, GOOD, RoundHouse


@pytest.fixture
def opened(house: House) -> RoundHouse:
    return open_hoses(house)


def photo(opened: RoundHouse, number: int = 1, person=None) -> SearchedPhoto:  # type: ignore[no-untyped-def]
    seen = opened.use.searched_item(person or opened.mechanic, hose_item(opened).id)
    return seen.photos[number - 1]


def test_a_photo_is_not_searched_before_its_hoses_are_shown(opened: RoundHouse) -> None:
    this = arrived(opened)
    assert photo(opened).step is Step.SHOW
    assert opened.use.unfinished() == ()
    assert "which hoses a photo shows is not told" in opened.use.gaps(opened.visit.id)[-2].what
    shown = opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    assert shown.options["taps"] == [{"name": "brake", "points": [list(one) for one in ALONG]}]
    assert shown.statements[0] == "Photographed from: front."
    assert [one.id for one in opened.use.unfinished()] == [this.id]
    assert photo(opened).step is Step.SEARCHING


@pytest.mark.parametrize(
    ("taps", "why"),
    [
        ([], "No hose is shown"),
        ([ShownHose("fuel", ALONG)], "no hose 'fuel': choose one of brake"),
        ([ShownHose("brake", ())], "1 to 9 points along it, and 0 came"),
        ([ShownHose("brake", ALONG * 4)], "1 to 9 points along it, and 12 came"),
        ([ShownHose("brake", ((float("nan"), 3.0),))], "no place on a photo"),
        ([ShownHose("old", ALONG)], "lack the diameter of old"),
    ],
)
def test_what_cannot_be_searched_is_not_shown(house: House, taps: list[ShownHose], why: str) -> None:
    opened = open_hoses(house, BRAKE + UNKNOWN)
    this = arrived(opened)
    with pytest.raises(UsageError, match=why):
        opened.use.show_hoses(opened.mechanic, this.id, taps)


def test_only_who_took_the_photo_shows_hoses_on_it_and_once(opened: RoundHouse) -> None:
    this = arrived(opened)
    shown = [ShownHose("brake", ALONG)]
    with pytest.raises(NotAllowed, match="belongs to another person"):
        opened.use.show_hoses(opened.mechanic_2, this.id, shown)
    opened.use.show_hoses(opened.mechanic, this.id, shown)
    with pytest.raises(Conflict, match="Hoses are shown once"):
        opened.use.show_hoses(opened.mechanic, this.id, shown)


def test_a_photo_that_nobody_wants_searched_is_given_up_and_stays(opened: RoundHouse) -> None:
    this = arrived(opened)
    with pytest.raises(Conflict, match="On a photo of it no hose is shown yet"):
        opened.use.answer(opened.mechanic, hose_item(opened).id, GOOD)
    opened.use.give_up_photo(opened.mechanic, this.id)
    assert photo(opened).step is Step.FAILED
    all_round(opened)
    opened.use.answer(opened.mechanic, hose_item(opened).id, GOOD)
    with pytest.raises(Conflict, match="what was searched is judged"):
        opened.use.give_up_photo(opened.mechanic, this.id)


def test_a_photo_whose_taker_is_away_holds_nobody_up(opened: RoundHouse) -> None:
    this, item = arrived(opened), hose_item(opened)
    with pytest.raises(NotAllowed, match="people who answer for the work"):
        opened.use.give_up_photo(opened.trainee, this.id)
    opened.use.give_up_photo(opened.mechanic_2, this.id)
    other = arrived(opened)
    with pytest.raises(Conflict, match="On a photo of it no hose is shown yet"):
        opened.use.answer(opened.mechanic_2, item.id, GOOD)
    opened.use.answer(opened.mechanic_2, item.id, FAULT)
    assert opened.again(item).state is ItemState.DISCREPANCY
    opened.use.give_up_photo(opened.mechanic_2, other.id)


def test_a_fault_waits_for_a_photo_that_is_being_searched(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    with pytest.raises(Conflict, match="A photo of it is being measured"):
        opened.use.answer(opened.mechanic_2, hose_item(opened).id, FAULT)


def test_why_a_photo_of_hoses_counts_is_said_by_who_answers_for_the_item(opened: RoundHouse) -> None:
    this = searched(opened, found())
    with opened.house.archive.records.begin() as work:
        kept = work.get(Try, this.id)
        asked = (*kept.statements, f"{QUESTIONED}taken 3 hours before the condition was stated.")
        work.enter("asked", None, opened.visit.id, replace(kept, statements=asked))
    who = opened.mechanic_2
    marked(opened, this, person=who)
    hands(opened, person=who)
    with pytest.raises(NotAllowed, match="people who answer for the work"):
        opened.use.explain_time(opened.trainee, this.id, "the clock is wrong")
    opened.use.explain_time(who, this.id, "the phone's clock was an hour slow")
    assert opened.use.searched_item(who, hose_item(opened).id).locks == ()


def test_nobody_sees_what_was_found_before_he_has_marked_the_bare_photo(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(200.0)))
    everybody = (opened.mechanic, opened.inspector, opened.mechanic_2)
    drawn = this.annotated
    assert drawn is not None and this.photo is not None
    for person in everybody:
        assert not opened.use.may_see_annotated(person, drawn)
        assert opened.use.may_see_photo(person, this.photo)
        assert opened.use.try_read(person, this.id) is None
        seen = photo(opened, person=person)
        assert (seen.step, seen.places, seen.aside, seen.try_.result) == (Step.MARK, (), (), None)
        story = opened.use.item_story(person, hose_item(opened).id)
        assert all(one.result is None for _, one in story.entries if isinstance(one, Try))
        with pytest.raises(Conflict, match="Mark first what you see yourself on the bare photo"):
            opened.use.open_place(person, this.id, "flag-1")
        with pytest.raises(Conflict, match="Mark first what you see yourself"):
            opened.use.place_shown(person, this.id, "flag-1")
        with pytest.raises(Conflict, match="mark the bare photo first"):
            opened.use.hose_shown(person, this.id, 0)
    record = opened.use.record(opened.visit.id)
    tries = [one for leg in record["legs"] for item in leg["items"] for one in item.get("tries", ())]
    assert [(one["state"], one["result"], one["annotated"]) for one in tries] == [("read", None, None)]
    mine = opened.use.try_of(opened.mechanic, this.id)
    assert (mine.state, mine.result, mine.annotated) == (TryState.READ, None, None)
    marked(opened, this)
    assert opened.use.may_see_annotated(opened.mechanic, drawn)
    assert opened.use.try_of(opened.mechanic, this.id).result is not None
    assert [one.key for one in photo(opened).places] == ["flag-1"]
    assert not opened.use.may_see_annotated(opened.inspector, drawn)
    assert opened.use.hose_shown(opened.mechanic, this.id, 0).hose == course()
    shown = opened.use.place_shown(opened.mechanic, this.id, "flag-1")
    assert (shown.photo, shown.outline_px[0]) == (this.photo, (184.0, 90.0))


def test_one_marks_while_the_photo_is_searched_and_once(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    marked(opened, this, BareMark(200.0, 104.0, "shiny"))
    with pytest.raises(Conflict, match="You have marked this photo, and what you saw stays"):
        marked(opened, this)
    for marks, none_seen in (((), False), ((BareMark(1.0, 1.0),), True)):
        with pytest.raises(UsageError, match="one of the two"):
            opened.use.mark_bare(opened.mechanic, this.id, marks, none_seen)
    with pytest.raises(UsageError, match="no place on a photo"):
        opened.use.mark_bare(opened.mechanic_2, this.id, [BareMark(-1.0, 5.0)])


def test_an_own_mark_stays_as_a_flag_on_the_hose_that_it_lies_on(opened: RoundHouse) -> None:
    two = [course(), course("brake", 400.0)]
    this = searched(opened, found(flag(150.0), hoses=two))
    marked(opened, this, BareMark(350.0, 390.0, "scuffed"))
    first, mark = photo(opened).places
    assert (first.number, mark.number, mark.kind) == (1, 2, PlaceKind.MARK)
    assert (mark.hose, mark.along_mm, mark.words, mark.own) == (1, 63.5, "scuffed", True)
    opened.use.mark_bare(opened.inspector, this.id, (), none_seen=True)
    other = photo(opened, person=opened.inspector).places[1]
    assert (other.key, other.words, other.own) == (mark.key, "", False)


def test_a_place_is_opened_before_it_is_judged_and_each_by_itself(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0), flag(250.0)))
    marked(opened, this)
    with pytest.raises(Conflict, match="You have not looked at this place: open it"):
        opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.DIRT)
    assert opened.use.open_place(opened.mechanic, this.id, "flag-1").opened
    opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.DIRT, "wiped off")
    one, other = photo(opened).places
    assert (one.judged, one.text, other.opened, other.judged) == (Judged.DIRT, "wiped off", False, None)
    with pytest.raises(Conflict, match="no place 'flag-3'"):
        opened.use.open_place(opened.mechanic, this.id, "flag-3")


def test_what_was_set_aside_is_judged_once_it_is_brought_back(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0), aside=(flag(300.0, kind="clamp", why="a clamp"),)))
    marked(opened, this)
    assert [one.aside_as for one in photo(opened).aside] == ["clamp"]
    opened.use.open_place(opened.mechanic, this.id, "aside-1")
    assert [(one.key, one.number) for one in photo(opened).places] == [("flag-1", 1), ("aside-1", 2)]
    assert photo(opened).aside == ()


def test_a_judgement_is_changed_before_the_signature_and_each_change_is_kept(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1", Judged.WEAR)
    first = opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.REFLECTION)
    assert opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.REFLECTION) == first
    assert photo(opened).places[0].judged is Judged.REFLECTION
    told = SqlExchange(opened.house.archive.records).bundle(opened.visit.id)
    acts = [link.told for link in told.events]
    kinds = [one["kind"] for one in acts]
    assert [kinds.count(kind) for kind in ("marked-bare", "place-opened", "judged", "judged-anew")] == [1] * 4
    said = [
        row["set"]["judged"]
        for act in acts
        for row in act["data"].get("rows", ())
        if row["entry"] == "judgings"
    ]
    assert said == ["wear", "reflection"]


def test_the_judgement_of_an_entered_item_takes_its_answer_back(opened: RoundHouse) -> None:
    this = searched(opened, found(flag(150.0)))
    marked(opened, this)
    judged(opened, this, "flag-1")
    hands(opened)
    item = hose_item(opened)
    first = opened.use.enter_search(opened.mechanic, item.id)
    opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.DIRT)
    (gap,) = (one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == item.id)
    assert gap == "Hose shiny spots: searched on photos, and what was judged is not entered"
    second = opened.use.enter_search(opened.mechanic, item.id)
    assert second.supersedes is not None and second.id != first.id
    assert [one.id for one in opened.use.to_sign(opened.mechanic, opened.visit.id).lines] == [second.id]
    opened.sign_work(opened.mechanic)
    with pytest.raises(Conflict, match="You have signed this"):
        opened.use.judge(opened.mechanic, this.id, "flag-1", Judged.WEAR)
    assert opened.again(item).state is ItemState.WAITING


def test_a_refused_photo_leaves_the_ordinary_answer_one_step_away(opened: RoundHouse) -> None:
    searched(opened, refused())
    item = hose_item(opened)
    assert photo(opened).step is Step.REFUSED
    with pytest.raises(Conflict, match="Nothing of a hose counts as searched"):
        opened.use.enter_search(opened.mechanic, item.id)
    all_round(opened)
    opened.use.answer(opened.mechanic, item.id, GOOD)
    opened.sign_work(opened.mechanic)
    opened.look(opened.again(item))
    assert opened.again(item).state is ItemState.CLOSED


def test_what_was_marked_on_a_refused_photo_is_judged_all_the_same(opened: RoundHouse) -> None:
    this = searched(opened, refused())
    marked(opened, this, BareMark(40.0, 40.0, "rubbed"))
    (place,) = photo(opened).places
    assert (place.hose, place.hose_name, photo(opened).step) == (-1, "brake", Step.JUDGE)
    judged(opened, this, place.key, Judged.WEAR)
    assert photo(opened).step is Step.REFUSED
    assert opened.use.place_shown(opened.mechanic, this.id, place.key).hose is None


def test_flags_are_not_passed_by_with_an_ordinary_answer(opened: RoundHouse) -> None:
    searched(opened, found(flag(150.0)))
    item = hose_item(opened)
    for given in (GOOD, ByEye(Finding.NOT_FITTED, "no hose")):
        with pytest.raises(Conflict, match="each flag is to be judged"):
            opened.use.answer(opened.mechanic, item.id, given)
    opened.use.answer(opened.mechanic, item.id, FAULT)
    assert opened.again(item).state is ItemState.DISCREPANCY


def test_the_same_photo_is_searched_again_with_other_points(opened: RoundHouse) -> None:
    this = searched(opened, refused())
    again = opened.use.search_again(opened.mechanic, this.id, [ShownHose("brake", ALONG[:2])])
    assert (again.photo, again.state, again.photo_name) == (this.photo, TryState.STORED, "IMG_7.jpg")
    opened.use.measured(again.id, found())
    assert [one.step for one in opened.use.searched_item(opened.mechanic, this.item_id).photos] == [
        Step.REFUSED, Step.MARK,
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("hoses", "why"), [("", "have no hose"), (UNKNOWN, "lack the diameter of old: inspect it by hand")]
)
def test_a_leg_without_a_hose_that_can_be_searched_says_so(house: House, hoses: str, why: str) -> None:
    opened = open_hoses(house, hoses)
    locks = opened.use.search_locks(hose_item(opened).id)
    assert locks is not None and why in locks[0]
    with pytest.raises(Conflict, match=why):
        arrived(opened)
    all_round(opened)
    opened.use.answer(opened.mechanic, hose_item(opened).id, GOOD)


def test_only_an_item_that_searches_hoses_is_photographed_so(opened: RoundHouse) -> None:
    other = hose_item(opened, "hoses")
    assert opened.use.search_locks(other.id) is None
    assert opened.use.search_locks(hose_item(opened).id) == ()
    with pytest.raises(Conflict, match="is not searched on photos of hoses"):
        opened.use.begin_search_try(opened.mechanic, other.id, "front")
    with pytest.raises(UsageError, match="From where the photo is taken"):
        opened.use.begin_search_try(opened.mechanic, hose_item(opened).id, " ")


def test_the_hoses_of_a_leg_are_told_with_why_one_cannot_be_searched(house: House) -> None:
    opened = open_hoses(house, BRAKE + LOCK + UNKNOWN)
    told = opened.use.hoses_of(hose_item(opened).id)
    assert [(one.name, bool(one.why_not)) for one in told] == [
        ("brake", False),
        ("lock", False),
        ("old", True),
    ]


def failed(opened: RoundHouse) -> Try:
    """A photo on which a place was marked while it was searched, and whose search then failed."""
    this = arrived(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    marked(opened, this, BareMark(200.0, 100.0, "rubbed to the braid"))
    return opened.use.measuring_failed(this.id, "out of memory")


def test_what_was_marked_before_the_search_failed_is_judged_all_the_same(opened: RoundHouse) -> None:
    this, item = failed(opened), hose_item(opened)
    (place,) = photo(opened).places
    assert (place.own, place.hose_name, photo(opened).step) == (True, "brake", Step.JUDGE)
    all_round(opened)
    with pytest.raises(Conflict, match="each flag is to be judged"):
        opened.use.answer(opened.mechanic, item.id, GOOD)
    judged(opened, this, place.key, Judged.CANNOT_TELL)
    assert "place 1 is left open by the photo" in opened.use.searched_item(opened.mechanic, item.id).locks[0]
    judged(opened, this, place.key, Judged.REFLECTION)
    hands(opened)
    made = opened.use.enter_search(opened.mechanic, item.id)
    assert [one["marks"] for one in made.reading["bare"]] == [1]
    assert [one["judged"] for one in made.reading["judged"]] == ["reflection"]
    opened.sign_work(opened.mechanic)
    marked(opened, this, person=opened.inspector)
    judged(opened, this, place.key, Judged.DIRT, opened.inspector)
    opened.use.look_at_search(opened.inspector, item.id)
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.house.archive.verify().faults == ()


def test_a_failed_photo_that_nobody_marked_is_marked_no_more(opened: RoundHouse) -> None:
    this = arrived(opened)
    opened.use.show_hoses(opened.mechanic, this.id, [ShownHose("brake", ALONG)])
    opened.use.measuring_failed(this.id, "out of memory")
    with pytest.raises(Conflict, match="could not be searched"):
        marked(opened, this, BareMark(200.0, 100.0))
