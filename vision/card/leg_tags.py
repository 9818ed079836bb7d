"""Leg tags: small markers that say in the photo which leg of which aircraft is seen."""

from collections.abc import Sequence

from vision.card.drawing import tag_primitives
from vision.card.page import PAGE_MM, Page
from vision.card.parts import LEG_TAG_IDS, rectangle
from vision.card.primitives import Box, Words
from vision.errors import CardError

TAG_MM = 40.0
_CELL_MM = (54.0, 66.0)
_COLUMNS, _ROWS = 3, 4
_TEXT_PT = (10.0, 6.0)  # the largest and the smallest size tried
_HAIR_MM = 0.1


def leg_tag_pdf(tags: Sequence[tuple[int, str]]) -> bytes:
    """Return A4 pages of leg tags, each 40 mm wide with its text below.

    Parameters
    ----------
    tags : sequence of (id, text)
        Ids from 400 to 586, all different; the text names aircraft and position.

    Raises
    ------
    CardError
        No tag is asked for, an id is out of range or given twice, or a text does not fit.
    """
    if not tags:
        msg = "no leg tag was asked for; give at least one (id, text)."
        raise CardError(msg)
    ids = [number for number, _ in tags]
    for number in ids:
        if number not in LEG_TAG_IDS:
            msg = f"leg tag {number}: leg tags go from {LEG_TAG_IDS[0]} to {LEG_TAG_IDS[-1]}; choose one."
            raise CardError(msg)
        if ids.count(number) > 1:
            msg = f"leg tag {number} is asked for twice; give every leg an id of its own."
            raise CardError(msg)
    page = Page("Leg tags")
    for index, (number, text) in enumerate(tags):
        place = index % (_COLUMNS * _ROWS)
        if place == 0:
            page.start()
            page.draw(
                Words(24.0, 15.0, "Leg tags: print at 100 % (actual size), each black square 40 mm", 9.0)
            )
        _tag(page, number, text, place)
    return page.finish()


def _tag(page: Page, number: int, text: str, place: int) -> None:
    left = (PAGE_MM[0] - _COLUMNS * _CELL_MM[0]) / 2 + place % _COLUMNS * _CELL_MM[0]
    top = 20.0 + place // _COLUMNS * _CELL_MM[1]
    width, height = _CELL_MM
    for y in (top, top + height):
        page.draw(Box(left, y, width, _HAIR_MM, grey=0.5))
    for x in (left, left + width):
        page.draw(Box(x, top, _HAIR_MM, height, grey=0.5))
    inset = (width - TAG_MM) / 2
    for item in tag_primitives(number, rectangle(left + inset, top + inset, TAG_MM, TAG_MM)):
        page.draw(item)
    middle = left + width / 2
    size = _fitting_size(page, number, text, width - 6.0)
    page.draw(Words(middle, top + inset + TAG_MM + 10.0, text, size, "middle", bold=True))
    page.draw(Words(middle, top + inset + TAG_MM + 15.0, f"leg tag {number}", 7.0, "middle"))


def _fitting_size(page: Page, number: int, text: str, room: float) -> float:
    largest, smallest = _TEXT_PT
    size = largest
    while size >= smallest:
        if page.width_of(Words(0, 0, text, size, bold=True)) <= room:
            return size
        size -= 0.5
    msg = f"leg tag {number}: {text!r} is too long to be printed below it; shorten it to about 30 letters."
    raise CardError(msg)
