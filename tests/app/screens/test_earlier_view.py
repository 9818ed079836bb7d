"""Beside a new photo stands the earlier visit's view of the same, unmarked: where to stand."""

from app.inspection import Try
from tests.app.records_house import STATED, WITHIN, House, refusal
from tests.app.screens.looking import Open, said
from tests.app.screens.test_compare_page import photos, visit

TOLD = "unmarked. Stand where it was taken"


def begun(house: House) -> str:
    return house.inspections.begin_try(house.mechanic, house.primary.id, STATED).id


def test_the_earlier_visits_photo_stands_beside_a_new_one_without_what_was_read_on_it(
    open_page: Open, house: House
) -> None:
    signed = visit(house, photos()[0])
    with house.archive.records.look() as r:
        taken = r.get(Try, signed.try_id)
    draft = begun(house)
    view = house.inspections.earlier_view(house.inspections.try_of(house.mechanic, draft).item_id)
    assert view is not None
    assert (view.photo, view.result, view.annotated) == (taken.photo, None, None)
    words = said(open_page("round", house.mechanic, draft=draft))
    assert TOLD in words
    assert f"/photos/{taken.photo}/tile" in words
    assert f"{WITHIN}" not in words


def test_a_first_visit_has_none_and_a_retake_on_it_neither(open_page: Open, house: House) -> None:
    assert TOLD not in said(open_page("round", house.mechanic, draft=begun(house)))
    house.measured(refusal())
    assert TOLD not in said(open_page("round", house.mechanic, draft=begun(house)))


def test_a_photo_that_gave_no_reading_is_no_view_to_take_again(open_page: Open, house: House) -> None:
    visit(house, photos()[0])
    other = house.supporting
    made = house.inspections.begin_try(house.mechanic, other.id, STATED)
    house.inspections.photo_arrived(house.mechanic, made.id, photos()[1], "IMG_2.jpg")
    house.inspections.measured(made.id, refusal())
    draft = house.inspections.begin_try(house.mechanic, other.id, STATED).id
    assert house.inspections.earlier_view(house.inspections.try_of(house.mechanic, draft).item_id) is None
