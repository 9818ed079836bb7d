"""A second person is asked alike on photos that were not searched, whatever the first one marked on them."""

import pytest

from app.errors import Conflict
from app.inspection import ItemState, Person, Try
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import Finding, Judged
from app.inspection.rounds.search_views import BareMark, SearchedItem, Step
from tests.app import hose_house, surface_house
from tests.app.hose_house import hose_item, judged, marked, open_hoses, sign_looks
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.surface_house import by_hand, open_surface, surface_item

BARE = BareMark(200.0, 300.0)
LOCK = "Photo 1: mark first what you see yourself on the bare photo, or say that you see none."
KINDS = pytest.mark.parametrize("kind", ["hoses", "surface"])
FAILED = pytest.mark.parametrize("failed", [False, True])
MARKS = pytest.mark.parametrize("marks", [True, False, None])


def not_searched(
    house: House, kind: str, *, failed: bool, marks: bool | None, by_second: bool = False
) -> tuple[RoundHouse, Try]:
    """A photo that was not searched, on which the mechanic marked a place, or none; None: he did not look."""
    opened = open_hoses(house) if kind == "hoses" else open_surface(house)
    of = hose_house if kind == "hoses" else surface_house
    who = opened.house.inspector_2 if by_second else opened.mechanic
    first = of.searched(opened, of.refused(), who) if not failed else _shown(opened, kind, who)
    if marks is not None:
        marked(opened, first, *([BARE] if marks else []))
    if failed:
        first = opened.use.measuring_failed(first.id, "out of memory")
    if marks:
        (place,) = seen(opened, kind, opened.mechanic).photos[0].places
        judged(opened, first, place.key)
    return opened, first


def answered(house: House, kind: str, *, failed: bool, marks: bool | None) -> tuple[RoundHouse, Try, Try]:
    """An entered item with a photo that was not searched, and one that was; None: not marked at all."""
    opened, first = not_searched(house, kind, failed=failed, marks=marks)
    of = hose_house if kind == "hoses" else surface_house
    return opened, first, of.entered(opened, Judged.DIRT)


def _shown(opened: RoundHouse, kind: str, who: Person) -> Try:
    if kind == "hoses":
        this = hose_house.arrived(opened, who)
        shown = [hose_house.ShownHose("brake", hose_house.ALONG)]
        return opened.use.show_hoses(who, this.id, shown)
    this = surface_house.arrived(opened, who)
    region = surface_house.ShownRegion(surface_house.CORNERS)
    return opened.use.show_region(who, this.id, region)


def seen(opened: RoundHouse, kind: str, person: Person) -> SearchedItem:
    item = hose_item(opened) if kind == "hoses" else surface_item(opened)
    return opened.use.searched_item(person, item.id)


@KINDS
@FAILED
@MARKS
def test_he_is_asked_to_mark_it_whether_or_not_the_first_one_marked_something(
    house: House, kind: str, failed: bool, marks: bool | None
) -> None:
    opened, first, this = answered(house, kind, failed=failed, marks=marks)
    who = opened.inspector
    asked = seen(opened, kind, who)
    assert asked.second and asked.locks[0] == LOCK
    assert (asked.photos[0].step, asked.photos[0].places) == (Step.MARK, ())
    with pytest.raises(Conflict, match="mark first what you see yourself"):
        opened.use.look_at_search(who, asked.item.id)
    marked(opened, first, person=who)
    then = seen(opened, kind, who).photos[0]
    assert (then.step is Step.JUDGE) is bool(marks) and len(then.places) == int(bool(marks))
    for place in then.places:
        judged(opened, first, place.key, person=who)
    marked(opened, this, person=who)
    judged(opened, this, "flag-1", Judged.DIRT, who)
    if kind == "surface":
        by_hand(opened, who)
    opened.use.look_at_search(who, asked.item.id)
    sign_looks(opened)
    assert opened.again(asked.item).state is ItemState.CLOSED


@KINDS
@FAILED
def test_what_he_marks_there_himself_is_judged_and_wear_is_a_discrepancy(
    house: House, kind: str, failed: bool
) -> None:
    opened, first, this = answered(house, kind, failed=failed, marks=None)
    who = opened.inspector
    marked(opened, first, BARE, person=who)
    marked(opened, this, person=who)
    judged(opened, this, "flag-1", Judged.DIRT, who)
    if kind == "surface":
        by_hand(opened, who)
    item = seen(opened, kind, who).item
    with pytest.raises(Conflict, match="place 1 is not looked at"):
        opened.use.look_at_search(who, item.id)
    (place,) = seen(opened, kind, who).photos[0].places
    judged(opened, first, place.key, Judged.WEAR, who)
    opened.use.look_at_search(who, item.id)
    sign_looks(opened)
    assert opened.again(item).state is ItemState.DISCREPANCY


@KINDS
def test_the_first_person_is_not_asked_and_a_photo_given_up_is_asked_of_nobody(
    house: House, kind: str
) -> None:
    opened = open_hoses(house) if kind == "hoses" else open_surface(house)
    of = hose_house if kind == "hoses" else surface_house
    of.searched(opened, of.refused())
    opened.use.give_up_photo(opened.mechanic, of.arrived(opened).id)
    assert [one.step for one in seen(opened, kind, opened.mechanic).photos] == [Step.REFUSED, Step.FAILED]
    of.entered(opened, Judged.DIRT)
    steps = [one.step for one in seen(opened, kind, opened.inspector).photos]
    assert steps == [Step.MARK, Step.FAILED, Step.MARK]


@KINDS
@FAILED
@MARKS
@pytest.mark.parametrize("faulty", [False, True])
def test_before_any_answer_a_colleague_is_asked_alike_and_told_nothing(
    house: House, kind: str, failed: bool, marks: bool | None, faulty: bool
) -> None:
    opened, first = not_searched(house, kind, failed=failed, marks=marks)
    item, who = seen(opened, kind, opened.mechanic).item, opened.inspector
    if faulty:  # what is wrong beside the photo is acted on, or put off, and two people judge the photo then
        opened.use.answer(opened.mechanic_2, item.id, ByEye(Finding.FAULT, "a clip is missing"))
    asked = seen(opened, kind, who)
    (photo,) = asked.photos
    assert (photo.step, photo.marking, photo.places, photo.aside) == (Step.MARK, None, (), ())
    assert asked.locks[0] == ("This item is answered." if faulty else LOCK)
    if not faulty:
        marked(opened, first, BARE, person=who)
        (photo,) = seen(opened, kind, who).photos
        assert photo.step is Step.JUDGE and len(photo.places) == 1 + bool(marks)


@KINDS
@MARKS
def test_who_photographed_is_barred_whatever_was_marked_where_the_search_failed(
    house: House, kind: str, marks: bool | None
) -> None:
    opened, _ = not_searched(house, kind, failed=True, marks=marks, by_second=True)
    (hose_house if kind == "hoses" else surface_house).entered(opened, Judged.DIRT)
    assert "yourself: another person has to judge" in seen(opened, kind, opened.house.inspector_2).barred


@KINDS
def test_nobody_marks_a_photo_on_which_nothing_is_shown_yet(house: House, kind: str) -> None:
    opened = open_hoses(house) if kind == "hoses" else open_surface(house)
    this = (hose_house if kind == "hoses" else surface_house).arrived(opened)
    with pytest.raises(Conflict, match="There is no photo to mark here"):
        marked(opened, this, BARE)
