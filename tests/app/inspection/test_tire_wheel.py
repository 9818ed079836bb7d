"""All photos of one wheel together: what one of them read or an eye saw is undone by no other."""

import pytest

from app.errors import Conflict
from app.inspection import ItemState, Measured, Person, Try
from app.inspection.rounds.given import Gauge
from app.inspection.rounds.model import Finding
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse
from tests.app.tire_house import (
    COLD,
    begun,
    creep_at,
    gauge_again,
    line_at,
    open_pressed_tire,
    place,
    read,
    sign_looks,
    tire_item,
)

MARKS = ((10.0, 100.0), (400.0, 400.0))  # 3 mm apart, as the house's measuring has it
BY_GAUGE = "measure by gauge at the wheel, and have a second person measure too"


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


def creep_photo(opened: RoundHouse, measured: Measured, person: Person | None = None) -> Try:
    """A photo of the creep mark that is measured."""
    who = person or opened.mechanic
    this = begun(opened, "tire_creep", who)
    opened.use.photo_arrived(who, this.id, f"photo {this.id}".encode())
    return opened.use.measured(this.id, measured)


def by_gauge(opened: RoundHouse, deg: float) -> Gauge:
    tool = opened.gauge(quantity="angle", unit="deg", u=0.2)
    return Gauge((deg,), "deg", tool.id)


def test_a_photo_within_does_not_undo_one_that_could_not_tell(opened: RoundHouse) -> None:
    read(opened, line_at(2.9))
    again = read(opened, line_at(2.3))
    with pytest.raises(Conflict, match=f"Another photo of this item could not tell.*{BY_GAUGE}"):
        opened.use.answer_by_photo(opened.mechanic, again.id)
    assert tire_item(opened, "tire_line").state is ItemState.TO_DO


@pytest.mark.parametrize("own", [Finding.FAULT, Finding.UNDECIDED])
@pytest.mark.parametrize("photographed", [True, False])
def test_an_eye_that_did_not_see_it_good_is_not_undone_by_another_try(
    opened: RoundHouse, own: Finding, photographed: bool
) -> None:
    if photographed:
        read(opened, line_at(0.4), own=own)
    else:
        begun(opened, own=own)
    again = read(opened, line_at(0.4))
    with pytest.raises(Conflict, match=f"not seen to be good by eye.*{BY_GAUGE}"):
        opened.use.answer_by_photo(opened.mechanic, again.id)


def test_another_persons_eye_counts_as_ones_own(opened: RoundHouse) -> None:
    read(opened, line_at(0.4), own=Finding.FAULT, person=opened.mechanic_2)
    mine = read(opened, line_at(0.4))
    with pytest.raises(Conflict, match="not seen to be good by eye"):
        opened.use.answer_by_photo(opened.mechanic, mine.id)


def test_the_second_person_is_told_of_every_eye_and_photo_before_but_after_his_own(
    opened: RoundHouse,
) -> None:
    read(opened, line_at(2.9), own=Finding.FAULT)
    begun(opened, own=Finding.UNDECIDED)
    item = tire_item(opened, "tire_line")
    opened.use.answer(opened.mechanic, item.id, by_gauge(opened, 0.4))
    opened.sign_work(opened.mechanic)
    look = opened.use.look(opened.inspector, item.id, by_gauge(opened, 0.5))
    told = opened.use.other_photos(opened.inspector, look.id)
    assert [(one.own, one.verdict) for one in told] == [
        (Finding.FAULT, "undecided"),
        (Finding.UNDECIDED, None),
    ]
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED


def test_creep_outside_on_the_lines_photo_is_not_undone_by_a_photo_of_the_mark(opened: RoundHouse) -> None:
    read(opened, creep_at(7.0, own="pressure_line_angle"))
    mark = creep_photo(opened, creep_at(3.0))
    with pytest.raises(Conflict, match=f"taken for another item of this tire read this outside.*{BY_GAUGE}"):
        opened.use.answer_by_photo(opened.mechanic, mark.id)


def test_creep_undecided_on_the_lines_photo_leaves_the_marks_own_photo_to_decide(opened: RoundHouse) -> None:
    read(opened, creep_at(4.8, own="pressure_line_angle"))
    mark = creep_photo(opened, creep_at(3.0))
    assert opened.use.answer_by_photo(opened.mechanic, mark.id).finding is Finding.GOOD


def test_creep_outside_on_a_later_photo_of_the_line_keeps_the_mark_from_closing(opened: RoundHouse) -> None:
    mark = creep_photo(opened, creep_at(3.0))
    opened.use.answer_by_photo(opened.mechanic, mark.id)
    opened.sign_work(opened.mechanic)
    read(opened, creep_at(7.0, own="pressure_line_angle"))
    opened.use.look_at_photo(opened.inspector, mark.item_id, MARKS)
    (held,) = opened.use.looks_held(opened.inspector, opened.visit.id)
    assert held == (
        "Tire creep: a photo taken for another item of this tire read this outside, which no other photo "
        "undoes: correct its answer by gauge at the wheel"
    )
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    with pytest.raises(Conflict, match="Nothing was signed: Tire creep"):
        opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)


def test_creep_outside_after_the_mark_closed_is_a_gap(opened: RoundHouse) -> None:
    mark = creep_photo(opened, creep_at(3.0))
    opened.use.answer_by_photo(opened.mechanic, mark.id)
    opened.sign_work(opened.mechanic)
    opened.use.look_at_photo(opened.inspector, mark.item_id, MARKS)
    sign_looks(opened)
    assert opened.again(tire_item(opened, "tire_creep")).state is ItemState.CLOSED
    read(opened, creep_at(7.0, own="pressure_line_angle"))
    gaps = [one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == mark.item_id]
    assert gaps and "read this outside" in gaps[0]


def test_what_was_photographed_before_the_action_says_nothing_of_the_reinspection(opened: RoundHouse) -> None:
    read(opened, creep_at(7.0, own="pressure_line_angle"))
    mark = creep_photo(opened, creep_at(7.0))
    opened.use.answer_by_photo(opened.mechanic, mark.id)
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    anew = opened.use.place_of(opened.act(case.discrepancy.id).reinspection_id).item
    gauge_again(opened, "the tire was worked on")
    after = opened.use.begin_tire_try(opened.mechanic_2, anew.id, COLD, undamaged=True, own=Finding.GOOD)
    opened.use.photo_arrived(opened.mechanic_2, after.id, b"after the action")
    opened.use.measured(after.id, creep_at(0.5))
    assert opened.use.answer_by_photo(opened.mechanic_2, after.id).finding is Finding.GOOD


def test_one_good_photo_still_answers_and_closes(opened: RoundHouse) -> None:
    this = read(opened, creep_at(3.0, own="pressure_line_angle"))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    look = place(opened, 0.6)
    assert opened.use.other_photos(opened.inspector, look.id) == ()
    sign_looks(opened)
    assert tire_item(opened, "tire_line").state is ItemState.CLOSED
