"""A tire's photo shows line and mark at once: nobody learns of one by the other before he has read it himself."""

from dataclasses import replace

import pytest

from app.errors import NotAllowed
from app.inspection import Person, Try, TryState
from app.inspection.rounds.model import Finding
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.tire_house import (
    answered,
    creep_at,
    line_at,
    open_pressed_tire,
    place,
    read,
    sign_looks,
    tire_item,
    without_mark,
)

MARKS = ((10.0, 100.0), (400.0, 430.0))  # 3.3 mm apart, as the house's measuring has it


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


def both_by_one_photo(opened: RoundHouse) -> tuple[Try, Try]:
    """One photo that answers for line and mark, entered and signed; the line's try and the mark's."""
    line = read(opened, creep_at(3.3, own="pressure_line_angle"))
    opened.use.answer_by_photo(opened.mechanic, line.id)
    mark = opened.use.begin_with_photo_of(
        opened.mechanic, tire_item(opened, "tire_creep").id, line.id, Finding.GOOD
    )
    opened.use.photo_of_other(opened.mechanic, mark.id, line.id)
    opened.use.measured(mark.id, creep_at(3.3))
    opened.use.answer_by_photo(opened.mechanic, mark.id)
    opened.sign_work(opened.mechanic)
    return line, mark


def sees(opened: RoundHouse, this: Try, person: Person | None = None) -> bool:
    """Whether a person is told what was read on a photo; the same for its marks, its story and its picture."""
    who, use = person or opened.inspector, opened.use
    with opened.house.archive.records.look() as r:
        kept = r.get(Try, this.id)
    story = use.item_story(who, this.item_id)
    (told,) = (one for _, one in story.entries if isinstance(one, Try) and one.id == this.id)
    found = {
        use.try_read(who, this.id) is not None,
        use.may_see_annotated(who, kept.annotated),
        told.result is not None,
    }
    assert len(found) == 1, "one way tells what another withholds"
    assert use.may_see_photo(who, kept.photo)  # bare, he places on it
    return found.pop()


def test_creep_is_told_only_when_line_and_mark_are_both_placed(opened: RoundHouse) -> None:
    line, mark = both_by_one_photo(opened)
    assert not sees(opened, line) and not sees(opened, mark)
    place(opened, 0.6)
    assert not sees(opened, line) and not sees(opened, mark)
    assert opened.use.bare_tire(opened.inspector, mark.item_id) is not None
    opened.use.look_at_photo(opened.inspector, mark.item_id, MARKS)
    assert sees(opened, line) and sees(opened, mark)
    assert not sees(opened, line, opened.house.inspector_2)
    sign_looks(opened)
    assert sees(opened, line, opened.house.inspector_2) and sees(opened, mark, opened.house.inspector_2)


def test_the_mark_first_tells_nothing_of_the_line(opened: RoundHouse) -> None:
    line, mark = both_by_one_photo(opened)
    opened.use.look_at_photo(opened.inspector, mark.item_id, MARKS)
    assert not sees(opened, line) and not sees(opened, mark)
    place(opened, 0.6)
    assert sees(opened, line) and sees(opened, mark)


def test_a_settled_line_keeps_the_mark_to_itself_while_that_is_not_inspected(opened: RoundHouse) -> None:
    line = read(opened, creep_at(3.3, own="pressure_line_angle"))
    opened.use.answer_by_photo(opened.mechanic, line.id)
    opened.sign_work(opened.mechanic)
    place(opened, 0.6)
    sign_looks(opened)
    assert opened.use.try_of(opened.mechanic, line.id).state is TryState.SETTLED
    assert not sees(opened, line) and not sees(opened, line, opened.house.inspector_2)
    assert sees(opened, line, opened.mechanic)
    without_mark(opened)
    assert sees(opened, line)


def test_a_closed_visit_tells_everybody(opened: RoundHouse) -> None:
    line = read(opened, creep_at(3.3, own="pressure_line_angle"))
    opened.use.answer_by_photo(opened.mechanic, line.id)
    opened.sign_work(opened.mechanic)
    place(opened, 0.6)
    sign_looks(opened)
    with opened.house.archive.records.begin() as work:
        closed = replace(opened.visit, closed_at=opened.house.clock.now())
        work.enter("closed-for-the-test", None, None, closed)
    assert sees(opened, line, opened.house.inspector_2)


def test_who_read_the_mark_on_his_own_photo_of_the_line_does_not_place_it(opened: RoundHouse) -> None:
    both = opened.house.inspector_2
    assert both.is_mechanic
    mine = read(opened, creep_at(3.3, own="pressure_line_angle"), person=both)
    _, mark = both_by_one_photo(opened)
    with pytest.raises(NotAllowed, match="You photographed this tire yourself"):
        opened.use.bare_tire(both, mark.item_id)
    with pytest.raises(NotAllowed, match="You photographed this tire yourself"):
        opened.use.look_at_photo(both, mark.item_id, MARKS)
    assert sees(opened, mine, both)


def test_who_saw_no_reading_of_the_mark_on_his_own_photo_may_place_it(opened: RoundHouse) -> None:
    both = opened.house.inspector_2
    read(opened, line_at(0.4), person=both)
    _, mark = both_by_one_photo(opened)
    assert not sees(opened, mark, both)
    assert opened.use.look_at_photo(both, mark.item_id, MARKS).finding is Finding.GOOD


def test_a_record_of_an_open_visit_withholds_what_the_pages_withhold(opened: RoundHouse) -> None:
    answered(opened)
    place(opened, 0.6)
    sign_looks(opened)
    for reader in (None, opened.house.inspector_2):
        told = str(opened.use.record(opened.visit.id, reader))
        assert "loaded_radius" not in told
    without_mark(opened)
    sign_looks(opened)
    assert "loaded_radius" in str(opened.use.record(opened.visit.id, None))
