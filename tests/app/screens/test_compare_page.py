"""The page of two visits' photos, on small real ones."""

from functools import cache

import numpy as np
import pytest

from app.inspection import Confirmation
from app.screens import compare
from tests.app.records_house import OUTSIDE, STATED, WITHIN, House, reading
from tests.app.screens.looking import Open, said
from tests.vision.compare.scenes import Light, Pose, drawn_pieces, take


@cache
def photos() -> tuple[bytes, bytes]:
    """A view and a retake of it."""
    rng = np.random.default_rng(21)
    pieces = drawn_pieces(rng)
    size = (800, 600)
    moved = Pose((12.0, -6.0, 5.0), (1.0, -2.0, 9.0))
    return take(pieces, Pose(), Light(), size, rng).jpeg, take(pieces, moved, Light(0.8), size, rng).jpeg


def visit(house: House, photo: bytes, value: float = WITHIN) -> Confirmation:
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    house.inspections.photo_arrived(house.mechanic, begun.id, photo, "IMG_1.jpg")
    house.inspections.measured(begun.id, reading(value))
    sent = house.inspections.send(house.mechanic, begun.id)
    signed = house.sign(house.inspector, house.placed(sent, value))
    place = house.inspections.place_of(house.item_of(signed).id)
    house.inspections.close_inspection(house.mechanic, place.inspection.id)
    return signed


@pytest.fixture(autouse=True)
def nothing_kept() -> None:
    compare._compared.clear()


def test_two_visits_photos_are_compared_and_the_way_back_is_told(open_page: Open, house: House) -> None:
    for photo in photos():
        visit(house, photo)
    text = said(open_page("compare", house.mechanic, leg=house.primary.id))
    assert "No change found" in text
    assert "of the present photo was compared; the rest counts as not looked at." in text
    assert "Roll the phone 9° counter-clockwise." in text
    assert "It is no inspection." in text


def test_the_same_photo_twice_is_told_as_such(open_page: Open, house: House) -> None:
    for _ in range(2):
        visit(house, photos()[0])
    text = said(open_page("compare", house.mechanic, leg=house.primary.id))
    assert "This is the same photo twice" in text


def test_one_photo_is_not_enough(open_page: Open, house: House) -> None:
    visit(house, photos()[0])
    assert "Two photos of this item that you may see are needed" in said(
        open_page("compare", house.mechanic, leg=house.primary.id)
    )


def test_a_photo_that_somebody_has_to_read_blind_is_not_offered(open_page: Open, house: House) -> None:
    visit(house, photos()[0])
    begun = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    house.inspections.photo_arrived(house.mechanic, begun.id, photos()[1], "IMG_2.jpg")
    house.inspections.measured(begun.id, reading(OUTSIDE))
    house.inspections.send(house.mechanic, begun.id)
    assert "Two photos" in said(open_page("compare", house.inspector, leg=house.primary.id))


def test_what_is_no_photo_is_told(open_page: Open, house: House) -> None:
    visit(house, photos()[0])
    visit(house, b"photo of letters only")
    text = said(open_page("compare", house.mechanic, leg=house.primary.id))
    assert "a JPEG, HEIC or PNG photo was expected" in text
